from inspections.drawing.scale import Scale
from inspections.drawing.shapes import Line, Text
from inspections.drawing.sheet import (
    Frame,
    hatch_of,
    letter_size,
    level_axis,
    margin_label,
    margin_shapes,
    title_shapes,
    value_axis,
)

FRAME = Frame(left=40, right=240, top=20, bottom=120, size=10, margin=300, foot=120)


def texts(shapes: list) -> dict[str, Text]:
    return {shape.content: shape for shape in shapes if isinstance(shape, Text)}


def test_letters_are_large_enough_on_a_phone_and_larger_on_a_desk() -> None:
    assert (letter_size(360), letter_size(1080)) == (11, 14)


def test_hatches_grow_denser_and_the_last_serves_all_beyond() -> None:
    assert [hatch_of(k).name for k in range(6)] == ["slant", "back", "cross", "grid", "grid", "grid"]


def test_marks_of_an_axis_that_would_run_together_stand_without_text() -> None:
    shapes = level_axis(FRAME, Scale((0, 100), (40, 240)), [(0, "0:00"), (5, "0:05"), (50, "0:50")], "Time")
    assert set(texts(shapes)) == {"0:00", "0:50", "Time"}
    assert len([shape for shape in shapes if isinstance(shape, Line)]) == 4


def test_close_levels_make_way_for_each_other() -> None:
    found = texts(value_axis(FRAME, Scale((0, 100), (120, 20)), [(50, "50"), (52, "52")]))
    assert found["50"].y - found["52"].y == 10


def test_margin_texts_are_led_to_what_they_name() -> None:
    labels = [margin_label(60, "Limit 700", 9, bold=True), margin_label(60, "A over 60 s", 7)]
    shapes = margin_shapes(labels, FRAME)
    found = texts(shapes)
    assert list(found) == ["Limit 700", "A over", "60 s"]
    assert found["A over"].y > found["Limit 700"].y
    assert all(shape.start == (240, 60) for shape in shapes if isinstance(shape, Line))


def test_a_long_heading_breaks_into_lines() -> None:
    assert [
        text.content for text in title_shapes("Interstage turbine temperature, °C", 150, 10) if isinstance(text, Text)
    ] == [
        "Interstage turbine",
        "temperature, °C",
    ]
