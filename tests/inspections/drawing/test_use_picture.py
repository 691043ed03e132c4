"""Use and remaining in a picture: every figure in it is the scene's own, and what is far away is left out."""

from dataclasses import replace
from datetime import date

import pytest

from engines.forecast import Use, stated_use
from inspections.drawing.shapes import Line, Marker, Polygon, Polyline
from inspections.drawing.use_picture import UseScene, use_facts, use_picture, use_summary

TODAY = date(2026, 11, 25)
SCENE = UseScene(
    "Time in service",
    "h",
    (20.0, 10.0, 30.0),
    1060.0,
    stated_use(10, 20),
    TODAY,
    (("Hot section inspection", 1090.0), ("Overhaul", 3000.0), ("Long ago", 900.0)),
)


def test_the_past_is_what_was_used_month_by_month() -> None:
    assert SCENE.past == [(-21, 1000.0), (-14, 1030.0), (-7, 1040.0), (0, 1060.0)]
    assert use_facts(SCENE)[0] == {"From": "2026-11-19", "To": "2026-11-25", "Used": "20 h", "Stood at": "1060 h"}
    assert [fact["Used"] for fact in use_facts(SCENE)] == ["20 h", "10 h", "30 h"]


def test_the_future_is_a_range() -> None:
    assert SCENE.ahead[0] == (0, 1060.0, 1060.0)
    assert SCENE.ahead[-1] == (90, 1090.0, 1120.0)


def test_only_limits_near_enough_are_drawn() -> None:
    assert SCENE.drawn_limits == (("Hot section inspection", 1090.0),)
    lines = [s for s in use_picture(SCENE, width=360, height=300).shapes if isinstance(s, Line) and s.role == "limit"]
    assert len(lines) == 1


@pytest.mark.parametrize("size", [(360.0, 300.0), (900.0, 360.0)])
def test_the_picture_stands_within_its_frame(size: tuple[float, float]) -> None:
    picture = use_picture(SCENE, width=size[0], height=size[1])
    points = [p for s in picture.shapes if isinstance(s, Polyline | Polygon) for p in s.points]
    assert all(0 <= x <= size[0] and 0 <= y <= size[1] for x, y in points)
    assert sum(isinstance(s, Marker) for s in picture.shapes) == 1
    assert {"today", "Hot"} <= {word for text in picture.texts for word in text.split()}


def test_it_is_said_in_words() -> None:
    assert use_summary(SCENE) == (
        "Time in service stands at 1060 h. In 90 days it may come to 1090 to 1120 h. "
        "Hot section inspection is due at 1090 h."
    )


def test_without_enough_record_nothing_is_foretold() -> None:
    scene = replace(SCENE, use=None, weeks=(), limits=(), unit="")
    assert use_summary(scene) == "Time in service stands at 1060. Too little was recorded to say what it may come to."
    assert (scene.ahead, use_facts(scene)) == ([], [])
    picture = use_picture(scene, width=360, height=300)
    assert not any(isinstance(shape, Polygon) for shape in picture.shapes)


def test_observed_use_opens_like_a_fan() -> None:
    ahead = replace(SCENE, use=Use(20.0, 5.0, 6)).ahead
    widths = [high - low for _, low, high in ahead]
    assert widths == sorted(widths) and widths[-1] > widths[1] > 0
