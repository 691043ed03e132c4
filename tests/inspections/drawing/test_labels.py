import pytest

from inspections.drawing.labels import glued, spread, text_width, wrapped


def test_bold_text_takes_more_room() -> None:
    assert text_width("Limit", 10, bold=True) > text_width("Limit", 10) > 25


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("A at once, B over 5 s", ["A at once,", "B over 5 s"]),
        (f"A at once, {glued('B over 15 s')}", ["A at once,", "B over 15 s"]),
        ("", []),
        ("unbreakableword yes", ["unbreakableword", "yes"]),
    ],
)
def test_lines_break_between_words(text: str, lines: list[str]) -> None:
    assert wrapped(text, 10) == lines


@pytest.mark.parametrize(
    ("centres", "sizes", "placed"),
    [
        ([20, 60], [10, 10], [20, 60]),
        ([50, 50], [10, 10], [50, 60]),
        ([98, 97], [10, 10], [95, 85]),
        ([0, 50], [10, 10], [5, 50]),
        ([50, 50], [80, 80], [-20, 60]),
        ([], [], []),
    ],
)
def test_things_make_way_for_each_other(centres: list[float], sizes: list[float], placed: list[float]) -> None:
    assert spread(centres, sizes, 0, 100) == placed
