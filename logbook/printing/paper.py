"""Paper sizes, and the one block of text that fits on each of them."""

from dataclasses import dataclass
from typing import Final, Literal

PaperName = Literal["a4", "letter"]

MM: Final = 72 / 25.4  # a millimetre [pt]
EDGE: Final = 15 * MM
BINDING: Final = 25 * MM
# As wide as A4 and as high as Letter, so that lines and pages break alike on both.
TEXT_WIDTH: Final = 210 * MM - BINDING - EDGE
TEXT_HEIGHT: Final = 279 * MM - 2 * EDGE
RIGHT: Final = BINDING + TEXT_WIDTH


@dataclass(frozen=True)
class Paper:
    """A sheet, upright. [pt]"""

    width: float
    height: float

    @property
    def size(self) -> tuple[float, float]:
        """Return width and height."""
        return self.width, self.height


PAPERS: Final[dict[str, Paper]] = {
    "a4": Paper(210 * MM, 297 * MM),
    "letter": Paper(8.5 * 72, 11 * 72),
}


def paper_of(name: str) -> Paper:
    """Return the paper of a name.

    Parameters
    ----------
    name : str
        ``"a4"`` or ``"letter"``.

    Returns
    -------
    Paper
        The sheet. [pt]

    Raises
    ------
    ValueError
        If there is no paper of that name.
    """
    if name not in PAPERS:
        raise ValueError(f"{name!r} is no paper that is known here; it is one of {', '.join(PAPERS)}.")
    return PAPERS[name]
