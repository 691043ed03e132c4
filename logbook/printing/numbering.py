"""Marks that a list of contents points to, and the places where their page numbers will stand."""

from dataclasses import dataclass
from typing import Any

from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from logbook.printing.paper import EDGE
from logbook.printing.styles import SIZE

FOOT = EDGE + 3  # height of the lowest line of text above the sheet's edge [pt]


@dataclass(frozen=True)
class Awaited:
    """A place on a page where the page number of a mark is to be written, right-aligned at x. [pt]"""

    page: int
    x: float
    y: float
    mark: str


class MarkedCanvas(Canvas):  # type: ignore[misc]
    """A canvas that remembers its marks and the places that await the page of one."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.awaited: list[Awaited] = []
        self.marks: dict[str, tuple[int, str]] = {}


class Mark(Flowable):  # type: ignore[misc]
    """The beginning of something that a list of contents points to; it takes no room."""

    def __init__(self, mark: str, title: str) -> None:
        super().__init__()
        self.mark, self.title = mark, title

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Take no room."""
        return 0.0, 0.0

    def draw(self) -> None:
        """Note the page that the mark came to stand on."""
        self.canv.marks[self.mark] = (self.canv.getPageNumber(), self.title)


class PageOf(Flowable):  # type: ignore[misc]
    """The page number of a mark, written at the right edge of the room it is given."""

    def __init__(self, mark: str) -> None:
        super().__init__()
        self.mark = mark

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Take one line, as wide as the room is."""
        self.width, self.height = width, 1.3 * SIZE
        return self.width, self.height

    def draw(self) -> None:
        """Note where the number is to be written once it is known."""
        x, y = self.canv.absolutePosition(self.width, 0.3 * SIZE)
        self.canv.awaited.append(Awaited(self.canv.getPageNumber(), x, y, self.mark))
