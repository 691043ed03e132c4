"""Running lines, the stamp, margins, and numbers over a set."""

import pytest
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import Spacer

from logbook.printing.blocks import grid, paragraph
from logbook.printing.numbering import Mark, PageOf
from logbook.printing.paper import BINDING, EDGE, MM, PAPERS, RIGHT, TEXT_WIDTH, PaperName
from logbook.printing.running import Chapter, Stamp, shortened
from logbook.printing.sets import document
from logbook.printing.styles import REGULAR, SIZE
from tests.logbook.printing.bodies import STAMPED
from tests.logbook.printing.reading import pages_of, placed, reader_of
from tests.logbook.printing.running_lines import running

LONG = "Name of quite some length " * 8


def test_a_long_name_moves_nothing() -> None:
    short, long = Stamp(STAMPED, "A"), Stamp(STAMPED, LONG)
    pages = [
        document([Chapter(running(stamp=s), [Spacer(1, 10)])], paper=PAPERS["a4"], title="t") for s in (short, long)
    ]
    tops = [[(x, y) for x, y, _ in placed(page, 0)] for page in pages]
    assert tops[0] == tops[1]


def test_a_text_is_cut_where_the_line_ends() -> None:
    assert shortened("short", 100.0) == "short"
    cut = shortened(LONG, 100.0)
    assert cut.endswith("…") and not cut.endswith(" …")
    assert 85.0 < stringWidth(cut, REGULAR, SIZE) <= 100.0


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_margins_are_kept(paper: PaperName) -> None:
    """Paper R1: 25 mm on the binding side, 15 mm elsewhere."""
    lines = running(left=(LONG, LONG), right=(LONG, "revision"), is_demo=True)
    story = [paragraph(LONG * 10), grid(("Head", "Head"), [[LONG, LONG]] * 8, (0.5, 0.5))]
    content = document([Chapter(lines, story)], paper=PAPERS[paper], title="t")
    for page in range(len(pages_of(content))):
        for x, y, _ in placed(content, page):
            assert BINDING - 0.01 <= x < RIGHT
            assert EDGE - 0.01 <= y <= PAPERS[paper].height - EDGE
    assert pytest.approx((25 * MM, 15 * MM)) == (BINDING, EDGE)
    assert PAPERS[paper].width - RIGHT >= EDGE - 0.01


@pytest.fixture(scope="module")
def numbered() -> bytes:
    """Return a set of seven chapters, each longer than the one before, with its contents in front."""
    chapters = [
        Chapter(running(right=(f"Entry {k}", "r")), [Mark(f"m{k}", f"Title {k}"), *[paragraph("text\n" * 30)] * k])
        for k in range(1, 8)
    ]
    rows = [[f"Entry {k}", PageOf(f"m{k}")] for k in range(1, 8)]
    contents = Chapter(running(right=("Contents", "")), [grid(("What", "Page"), rows, (0.8, 0.2))])
    return document([contents, *chapters], paper=PAPERS["a4"], title="A set")


def first_pages(content: bytes) -> list[int]:
    """Return the pages on which the seven chapters begin."""
    pages = list(enumerate(pages_of(content), start=1))[1:]
    return [min(n for n, page in pages if f"Entry {k} " in page) for k in range(1, 8)]


def test_pages_are_numbered_over_the_set(numbered: bytes) -> None:
    pages = pages_of(numbered)
    assert len(pages) > 12
    assert [n for n, page in enumerate(pages, 1) if f"page {n} of {len(pages)}" not in page] == []


def test_contents_name_the_page_on_which_each_begins(numbered: bytes) -> None:
    column = [(y, text) for x, y, text in placed(numbered, 0) if x > RIGHT - 30 and text.isdigit()]
    assert [int(text) for _, text in sorted(column, reverse=True)] == first_pages(numbered)


def test_contents_lead_to_their_pages(numbered: bytes) -> None:
    reader = reader_of(numbered)
    outline = {item["/Title"]: reader.get_destination_page_number(item) for item in reader.outline}  # type: ignore
    assert outline == {f"Title {k}": page - 1 for k, page in enumerate(first_pages(numbered), 1)}
    assert len(reader.pages[0]["/Annots"]) == 7  # type: ignore[arg-type]


def test_a_chapter_begins_on_a_page_of_its_own() -> None:
    chapters = [Chapter(running(right=(name, "")), [paragraph(f"text of {name}")]) for name in ("one", "two")]
    pages = pages_of(document(chapters, paper=PAPERS["letter"], title="t"))
    assert ["text of one" in pages[0], "text of two" in pages[1], len(pages)] == [True, True, 2]


def test_the_text_is_as_wide_as_both_papers_allow() -> None:
    assert pytest.approx(170 * MM) == TEXT_WIDTH
