"""Where texts go: how much room they take, how they break into lines, and how they make way for each other."""

from collections.abc import Sequence

EM = 0.6  # width of a letter against its size, on the wide side for the usual sans-serif faces
BOLD_EM = 0.67
GLUE = "\u00a0"
LINE = 1.25  # distance of baselines against the size


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """Return the room a line of text may take.

    Parameters
    ----------
    text : str
        The line.
    size : float
        Size of its letters. [px]
    bold : bool
        Whether it is set in bold.

    Returns
    -------
    float
        An upper estimate of its width. [px]
    """
    return len(text) * size * (BOLD_EM if bold else EM)


def wrapped(text: str, letters: int) -> list[str]:
    """Return a text broken into lines at its spaces; what is longer than a line and has no space stands alone.

    Parameters
    ----------
    text : str
        The text.
    letters : int
        The most letters of a line.

    Returns
    -------
    list of str
        The lines, glued spaces written as plain ones; none for an empty text.
    """
    lines: list[str] = []
    for word in filter(None, text.split(" ")):
        if lines and len(lines[-1]) + 1 + len(word) <= letters:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return [line.replace(GLUE, " ") for line in lines]


def glued(text: str) -> str:
    """Return a text that is kept on one line.

    Parameters
    ----------
    text : str
        The text, for example a figure and its unit.

    Returns
    -------
    str
        The text with spaces that do not break.
    """
    return text.replace(" ", GLUE)


def spread(centres: Sequence[float], sizes: Sequence[float], low: float, high: float) -> list[float]:
    """Return centres moved apart so that things of these sizes do not overlap.

    Parameters
    ----------
    centres : sequence of float
        Where each would stand if it were alone. [px]
    sizes : sequence of float
        How much room each takes. [px]
    low, high : float
        The room there is. [px]

    Returns
    -------
    list of float
        The centres, in the order given. Where all together take more room than there is, they run out of it at the
        low end rather than overlap.
    """
    order = sorted(range(len(centres)), key=lambda k: centres[k])
    placed = list(centres)
    edge = low
    for k in order:
        placed[k] = max(placed[k], edge + sizes[k] / 2)
        edge = placed[k] + sizes[k] / 2
    edge = high
    for k in reversed(order):
        placed[k] = min(placed[k], edge - sizes[k] / 2)
        edge = placed[k] - sizes[k] / 2
    return placed
