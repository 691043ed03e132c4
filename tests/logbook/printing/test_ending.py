"""The end of a set is ruled off, on the same page or on the next."""

import pytest
from reportlab.platypus import Spacer

from logbook.printing.ending import Ending
from logbook.printing.paper import PAPERS
from logbook.printing.running import Chapter
from logbook.printing.sets import document
from tests.logbook.printing.reading import pages_of, reader_of
from tests.logbook.printing.running_lines import running


@pytest.mark.parametrize(
    ("used", "pages", "strokes"),
    [(100, 1, 2), (527, 1, 1), (567, 2, 2)],  # room for a stroke; for the words only; for nothing
)
def test_the_rest_of_the_page_is_ruled_off(used: float, pages: int, strokes: int) -> None:
    """Paper R4: no entries below this line."""

    def drawn(story: list[Spacer | Ending]) -> bytes:
        return document([Chapter(running(), story)], paper=PAPERS["a4"], title="t")

    content = drawn([Spacer(1, used), Ending("End of it.", is_last=True)])
    texts = pages_of(content)
    assert len(texts) == pages
    assert "End of it. No entries below this line." in texts[-1]
    lines = reader_of(content).pages[-1].get_contents().get_data().count(b" l S")  # type: ignore[union-attr]
    plain = reader_of(drawn([Spacer(1, 10)])).pages[0].get_contents().get_data().count(b" l S")  # type: ignore[union-attr]
    assert lines - plain == strokes
