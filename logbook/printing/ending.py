"""What closes a set of entries: a rule, the words that nothing follows, and the rest of the page ruled off."""

from reportlab.platypus import Flowable

from logbook.printing.styles import BOLD, INK, LEADING, SIZE
from logbook.printing.wording import NOTHING_BELOW

LEAST_ROOM = 40.0  # below which there is nothing to rule off [pt]
SPACE_BEFORE = 6.0  # [pt]
LEAST_HEIGHT = SPACE_BEFORE + LEADING + 2  # that it takes on a page with its space before it [pt]


class Ending(Flowable):  # type: ignore[misc]
    """A rule across the page with words under it, and a stroke through whatever room is left below."""

    def __init__(self, words: str, *, is_last: bool) -> None:
        super().__init__()
        self.words = f"{words} {NOTHING_BELOW}." if is_last else words
        self.spaceBefore = SPACE_BEFORE

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Take what room is left, or all of the next page where not even a line is left."""
        self.width = width
        self.height = max(height - self.spaceBefore, LEADING + 2)
        return self.width, self.height

    def draw(self) -> None:
        """Write the words, and rule off the rest of the page."""
        canvas = self.canv
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(1)
        canvas.line(0, self.height, self.width, self.height)
        canvas.setFont(BOLD, SIZE)
        canvas.drawCentredString(self.width / 2, self.height - LEADING, self.words)
        if self.height - 2 * LEADING > LEAST_ROOM:
            canvas.setLineWidth(0.6)
            canvas.line(0, self.height - 2 * LEADING, self.width, 0)
