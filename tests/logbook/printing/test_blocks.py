"""Tables whose rows stay whole, headings that repeat and stay with what they head."""

from typing import Any

import pytest
from reportlab.platypus import Paragraph, Spacer, Table

from logbook.printing.blocks import (
    MOST_ROOM,
    TALLEST,
    Story,
    bullets,
    grid,
    pairs,
    paragraph,
    part,
    split_after,
    titled,
    together,
)
from logbook.printing.paper import PAPERS, TEXT_HEIGHT, TEXT_WIDTH
from logbook.printing.running import Chapter, Running
from logbook.printing.sets import document
from logbook.printing.styles import LEADING, SECTION
from tests.logbook.printing.reading import pages_of
from tests.logbook.printing.running_lines import running

WORDS = "as long as it takes to say "


def laid_out(story: Story, lines: Running | None = None) -> list[str]:
    return pages_of(document([Chapter(lines or running(), story)], paper=PAPERS["a4"], title="t"))


def lines_tall(text: Any) -> float:
    return float(paragraph(text).wrap(TEXT_WIDTH, TEXT_HEIGHT)[1]) / LEADING


def test_text_is_taken_as_it_was_written() -> None:
    assert laid_out([paragraph("a <b>bold</b> & \n claim")])[0].count("a <b>bold</b> & claim") == 1
    assert lines_tall("one\ntwo\nthree") == 3
    assert lines_tall(None) == 1


def test_a_heading_row_stands_on_every_page() -> None:
    """Paper R3: headings repeat."""
    rows = [[str(k), f"row {k} of many"] for k in range(120)]
    pages = laid_out([grid(("Number", "What it says"), rows, (0.2, 0.8))])
    assert len(pages) > 2
    assert all("Number What it says" in page for page in pages)
    assert [row for page in pages for row in rows if f"{row[0]} {row[1]} " in page] == rows


def test_a_row_is_never_split() -> None:
    """Paper R3: rows do not split."""
    rows = [[f"{k:02}-begin\n2\n3\n4\n5\n6\n7\n{k:02}-end"] for k in range(20)]
    pages = laid_out([grid(("Number",), rows, (1.0,))])
    for k in range(20):
        assert sum(f"{k:02}-begin " in page and f"{k:02}-end " in page for page in pages) == 1


def test_a_row_taller_than_a_row_may_be_goes_on_in_the_next() -> None:
    text = " ".join(f"word{k}" for k in range(900))
    table = grid(("Text", "By"), [[text, "Test Person"]], (0.5, 0.5))
    table.wrap(TEXT_WIDTH, TEXT_HEIGHT)
    assert len(table._rowHeights) > 3
    assert max(table._rowHeights) <= TALLEST + 2 * LEADING
    whole = " ".join(laid_out([table]))
    assert [k for k in range(900) if f"word{k} " not in whole] == []
    assert whole.count("Test Person") == 1


def test_flowables_go_into_a_grid_as_they_are() -> None:
    table = grid(("Text",), [[Spacer(1, 50)]], (1.0,))
    assert table.wrap(TEXT_WIDTH, TEXT_HEIGHT)[1] > 50 + LEADING


@pytest.mark.parametrize(("columns", "rows"), [(1, 3), (2, 2)])
def test_labels_stand_beside_their_values(columns: int, rows: int) -> None:
    table = pairs([("One", 1), ("Two", None), ("Three", "3")], columns)
    table.wrap(TEXT_WIDTH, TEXT_HEIGHT)
    assert len(table._rowHeights) == rows
    assert "One 1 Two not recorded Three 3" in laid_out([table])[0]


def test_bullets_are_one_paragraph_each() -> None:
    assert [p.getPlainText() for p in bullets(["a", "b"])] == ["– a", "– b"]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (lambda: [paragraph(WORDS * 40)], "as long as"),
        (lambda: [grid(("Head",), [["first row"]] * 40, (1.0,))], "first row"),
        (lambda: [pairs([("Label", "value")] * 5)], "Label value Label value Label value Label value Label value"),
        (lambda: [Spacer(1, 300), paragraph("after it")], "after it"),
    ],
)
@pytest.mark.parametrize("room", [20, 60, 200])
def test_a_heading_stays_with_what_it_heads(content: Any, words: str, room: float) -> None:
    """Whatever room is left on a page, the heading and the beginning of its content are on one page."""
    frame = 560.0
    pages = laid_out([Spacer(1, frame - room), *titled("The heading", content())])
    (page,) = [page for page in pages if "The heading" in page]
    assert words in page


@pytest.mark.parametrize("room", [20, 90, 110, 200])
def test_what_belongs_together_is_on_one_page(room: float) -> None:
    pages = laid_out([Spacer(1, 560.0 - room), together([paragraph("above\n" * 6), paragraph("below")])])
    assert [page for page in pages if "above" in page] == [page for page in pages if "below" in page]


def test_content_taller_than_a_page_does_not_wait_for_room() -> None:
    heading, *_ = titled("The heading", [Spacer(1, 2000)])
    assert heading.height == MOST_ROOM
    assert part("A part", [paragraph("text")])[1].style.name == "part"
    assert titled("A section", [paragraph("text")])[1].style is SECTION


def test_text_is_split_only_where_it_must_be() -> None:
    short = paragraph("one line")
    assert split_after(short, TEXT_WIDTH, LEADING) == (short, None)
    head, tail = split_after(paragraph(WORDS * 60), TEXT_WIDTH, 5 * LEADING)
    assert isinstance(head, Paragraph) and isinstance(tail, Paragraph)
    assert head.wrap(TEXT_WIDTH, TEXT_HEIGHT)[1] == 5 * LEADING


def test_a_table_is_a_table() -> None:
    assert isinstance(pairs([("a", "b")]), Table)
