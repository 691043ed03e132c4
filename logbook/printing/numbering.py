"""Page x of y, and page numbers in a list of contents: both are known only when the last page is laid out."""

from dataclasses import dataclass
from typing import Any

from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from logbook.printing.paper import EDGE, RIGHT
from logbook.printing.styles import REGULAR, SIZE

FOOT = EDGE + 3  # height of the lowest line of text above the sheet's edge [pt]


@dataclass(frozen=True)
class Awaited:
    """A place on a page where the page number of a mark is to be written. [pt]"""

    page: int
    x: float
    y: float
    mark: str


class NumberedCanvas(Canvas):  # type: ignore[misc]
    """A canvas that keeps its pages back until all are drawn, then writes their numbers."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.pages: list[dict[str, Any]] = []
        self.awaited: list[Awaited] = []
        self.marks: dict[str, tuple[int, str]] = {}

    def showPage(self) -> None:  # noqa: N802 - the canvas's own name
        self.pages.append(dict(self.__dict__))
        self._startPage()

    def save(self) -> None:
        for number, page in enumerate(self.pages, start=1):
            self.__dict__.update(page)
            self._finish(number, len(self.pages))
            super().showPage()
        super().save()

    def _finish(self, number: int, total: int) -> None:
        self.setFont(REGULAR, SIZE)
        self.drawRightString(RIGHT, FOOT, f"page {number} of {total}")
        for place in self.awaited:
            if place.page == number:
                text = str(self.marks[place.mark][0])
                self.drawRightString(place.x, place.y, text)
                box = (place.x - 4 * SIZE, place.y - 3, place.x, place.y + SIZE)
                # Named by its place, since each page takes up the canvas's own count where it left it.
                self.linkRect("", place.mark, box, name=f"{number}/{place.mark}", Border="[0 0 0]")
        for mark, (page, title) in self.marks.items():
            if page == number:
                self.bookmarkPage(mark)
                self.addOutlineEntry(title, mark)


class Mark(Flowable):  # type: ignore[misc]
    """The beginning of something that a list of contents points to; it takes no room."""

    def __init__(self, mark: str, title: str) -> None:
        super().__init__()
        self.mark, self.title = mark, title

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        return 0.0, 0.0

    def draw(self) -> None:
        self.canv.marks[self.mark] = (self.canv.getPageNumber(), self.title)


class PageOf(Flowable):  # type: ignore[misc]
    """The page number of a mark, written at the right edge of the room it is given."""

    def __init__(self, mark: str) -> None:
        super().__init__()
        self.mark = mark

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.width, self.height = width, 1.3 * SIZE
        return self.width, self.height

    def draw(self) -> None:
        x, y = self.canv.absolutePosition(self.width, 0.3 * SIZE)
        self.canv.awaited.append(Awaited(self.canv.getPageNumber(), x, y, self.mark))
