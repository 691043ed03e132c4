"""The picture of one start: raw samples, the type's envelope, the engine's own starts, and the same in words."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from engines.start_curves import GRID, Spread, spread_of
from inspections.drawing.shapes import Line, Picture, Polygon, Polyline
from inspections.drawing.start_picture import StartScene, pieces_of, start_picture, start_summary, start_table

TIMES = np.arange(0, 80, 0.25)
VALUES = np.interp(TIMES, [0, 20, 26, 50, 80], [30, 30, 650, 480, 470])
NOTHING = spread_of([])
SPREAD = spread_of([tuple(float(k + n) for k in range(len(GRID))) for n in (400, 410, 420)])
SIZES = [(360.0, 340.0), (900.0, 420.0)]


def scene(spread: Spread = SPREAD, values: np.ndarray = VALUES) -> StartScene:
    return StartScene(
        label="Interstage turbine temperature",
        unit="degC",
        origin="light-off",
        pieces=pieces_of(TIMES, values, 20.0, 2.0),
        spread=spread,
        envelope=((-20.0, 150.0), (2.0, 760.0), (30.0, 620.0)),
        envelope_words="highest by the type",
        limit=(760.0, "Hot above"),
    )


def drawn(found: StartScene, size: tuple[float, float] = SIZES[1]) -> Picture:
    return start_picture(found, width=size[0], height=size[1])


def of(picture: Picture, kind: type, role: str) -> list[Any]:
    return [shape for shape in picture.shapes if isinstance(shape, kind) and shape.role == role]


@pytest.mark.parametrize("size", SIZES)
def test_everything_it_is_held_against_is_drawn_and_named(size: tuple[float, float]) -> None:
    picture = drawn(scene(), size)
    texts = " ".join(picture.texts)
    for words in (
        "Interstage turbine temperature, °C",
        "this start",
        "median of 3 earlier starts",
        "highest by the type",
    ):
        assert words in texts
    assert "Hot" in texts
    assert "Seconds from light-off" in texts
    assert len(of(picture, Line, "limit")) == len(of(picture, Polyline, "envelope")) == 1
    assert len(of(picture, Polyline, "median")) == len(of(picture, Polygon, "spread")) == 1


def test_one_sample_that_stands_out_is_drawn() -> None:
    spiked = VALUES.copy()
    spiked[120] = 812.0
    plain, found = (
        min(y for _, y in of(drawn(scene(values=v)), Polyline, "trace")[0].points) for v in (VALUES, spiked)
    )
    assert found < plain


def test_a_gap_breaks_the_line_and_is_counted() -> None:
    gapped = VALUES.copy()
    gapped[100:116] = np.nan
    found = scene(values=gapped)
    assert len(of(drawn(found), Polyline, "trace")) == 2
    assert "264 samples, 1 gap." in start_summary(found)
    assert start_table(found, (7,))[0]["This start"] == "–"


def test_the_same_facts_in_words() -> None:
    said = start_summary(scene())
    assert said.startswith(
        "Interstage turbine temperature from 10 s before light-off to 60 s after it: 280 samples, no gap"
    )
    assert said.endswith("Dashed: the median of 3 earlier starts; shaded: their middle half. Hot above: 760 °C.")
    first, second = start_table(scene(), (0, 30))
    assert (first["Moment"], second["Moment"]) == ("light-off", "+30 s")
    assert second["This start"] == "480 °C"
    assert (second["Median of earlier starts"], second["Middle half"]) == ("450 °C", "445 to 455 °C")
    assert second["highest by the type"] == "620 °C"
    assert start_table(scene(), (60,))[0]["highest by the type"] == "–"


def test_without_earlier_starts_an_envelope_or_a_limit_only_the_start_is_drawn() -> None:
    bare = replace(scene(NOTHING), envelope=(), limit=None)
    picture = drawn(bare)
    assert of(picture, Polyline, "median") == of(picture, Polygon, "spread") == of(picture, Polyline, "envelope") == []
    assert start_summary(bare).endswith("Too few earlier starts of this engine are kept to show a median.")
    assert start_table(bare, (0,))[0] == {
        "Moment": "light-off",
        "This start": "30 °C",
        "Median of earlier starts": "–",
        "Middle half": "–",
        "highest by the type": "–",
    }


def test_a_channel_that_was_not_recorded_then_says_so() -> None:
    nothing = replace(scene(NOTHING), pieces=(), envelope=(), limit=None)
    assert of(drawn(nothing), Polyline, "trace") == []
    assert start_summary(nothing).startswith("Interstage turbine temperature is not recorded from 10 s before")


def test_a_median_that_is_not_known_everywhere_is_broken() -> None:
    courses = [tuple(None if 20 <= k < 30 else float(k) for k in range(len(GRID))) for _ in range(3)]
    assert len(of(drawn(scene(spread_of(courses))), Polyline, "median")) == 2
