import pytest

from inspections.drawing.placing import boxed, dense, freest, hidden, lies_in, text_box
from inspections.drawing.shapes import Rect, Text
from inspections.drawing.sheet import Frame

FRAME = Frame(left=0, right=100, top=0, bottom=100, size=10, margin=100, foot=100)
HIGH, LOW = Text(0, 20, "word", 10), Text(0, 80, "word", 10)


@pytest.mark.parametrize(("anchor", "left"), [("start", 50), ("middle", 38), ("end", 26)])
def test_the_room_of_a_text_follows_its_anchor(anchor: str, left: float) -> None:
    assert text_box(Text(50, 20, "word", 10, anchor)) == pytest.approx((left, 10, 24, 12.5))  # type: ignore[arg-type]


def test_a_text_on_paper_stands_before_it() -> None:
    paper, text = boxed(HIGH)
    assert isinstance(paper, Rect) and paper.width > 24
    assert text is HIGH


def test_lines_are_filled_with_points() -> None:
    assert dense([(0, 0), (10, 0)]) == [(0, 0), *((10 * k / 3, 0) for k in (1, 2, 3))]
    assert dense([]) == []


def test_covering_a_text_or_a_line_is_seen() -> None:
    box = text_box(HIGH)
    assert hidden(box, [(20, 12, 10, 5)], [])
    assert hidden(box, [], [(5, 15)])
    assert not hidden(box, [text_box(LOW)], [(5, 50)])


def test_the_freest_place_gives_way_to_the_lesser_lines_first() -> None:
    at_high, at_low = [(5.0, 15.0)], [(5.0, 75.0)]
    assert freest([HIGH, LOW], [], at_high) is LOW
    assert freest([HIGH, LOW], [], at_high, at_low) is LOW
    assert freest([HIGH, LOW], [text_box(LOW)], at_high) is HIGH


@pytest.mark.parametrize(
    ("text", "inside"),
    [
        (HIGH, True),
        (Text(90, 20, "word", 10), False),
        (Text(-1, 20, "word", 10), False),
        (Text(0, 5, "word", 10), False),
        (Text(0, 99, "word", 10), False),
    ],
)
def test_lying_in_a_box(text: Text, inside: bool) -> None:
    assert lies_in(FRAME, text) is inside
