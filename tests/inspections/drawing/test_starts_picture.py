"""A year of starts in a picture: every start a mark, its shape and words by how it ended, the limit a named line."""

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from engines.charts import LimitChart
from inspections.drawing.shapes import Line, Marker, Picture, Polygon, Rect, Text
from inspections.drawing.starts_picture import (
    MOST_DOTS,
    StartDot,
    StartsScene,
    against_words,
    start_facts,
    starts_picture,
    summary_of,
    thinned_dots,
)
from tests.inspections.drawing.cases import ITT, STARTING

FIRST, LAST = date(2025, 11, 26), date(2026, 11, 25)
PHONE, DESK = (360.0, 380.0), (900.0, 420.0)


def dot(days: float, peak: float | None, outcome: str = "started") -> StartDot:
    return StartDot(datetime(2025, 11, 26, 8, 0) + timedelta(days=days), peak, outcome)  # noqa: DTZ001 - any zone does


DOTS = (
    dot(10, 690),
    dot(40, 752, "aborted"),
    dot(90, 80, "motoring"),
    dot(150, 730, "cut"),
    dot(200, 812),
    dot(201, 811),
    dot(300, None, "motoring"),
)


def scene(*dots: StartDot, chart: LimitChart | None = STARTING) -> StartsScene:
    return StartsScene(dots, FIRST, LAST, ITT, "degC", chart)


def drawn(found: StartsScene, size: tuple[float, float] = DESK) -> Picture:
    return starts_picture(found, width=size[0], height=size[1])


def marks(picture: Picture) -> dict[str, list[float]]:
    """Return the heights of the marks by how the start ended, without those of the legend."""
    found: dict[str, list[float]] = {}
    for shape in picture.shapes:
        if isinstance(shape, Marker) or (isinstance(shape, Polygon) and shape.role in ("aborted", "motoring", "cut")):
            y = shape.y if isinstance(shape, Marker) else sum(p[1] for p in shape.points) / len(shape.points)
            found.setdefault(shape.role, []).append(y)
    return {role: ys[1:] for role, ys in found.items()}


@pytest.mark.parametrize("size", [PHONE, DESK])
def test_every_start_is_a_mark_of_its_own_shape_above_or_below_the_limit(size: tuple[float, float]) -> None:
    picture = drawn(scene(*DOTS), size)
    limit = next(s.start[1] for s in picture.shapes if isinstance(s, Line) and s.role == "limit")
    above = {role: [y < limit for y in ys] for role, ys in marks(picture).items()}
    assert above == {"started": [False, True, True], "aborted": [True], "motoring": [False], "cut": [False]}


@pytest.mark.parametrize("size", [PHONE, DESK])
def test_words_stand_beside_every_shape_and_line(size: tuple[float, float]) -> None:
    texts = " ".join(drawn(scene(*DOTS), size).texts)
    for words in ("started", "aborted after light-off", "motored, no light-off", "cut off by the end of the record"):
        assert words in texts
    for words in ("Limit 750 °C", "area 1 begins", "2025-11-26 to 2026-11-25", "Dec", "812 °C, 2026-06-14"):
        assert words in texts


def test_cold_motoring_does_not_press_the_starts_together() -> None:
    picture = drawn(scene(*DOTS))
    assert "scale changes at" in " ".join(picture.texts)
    heights = marks(picture)
    assert heights["motoring"][0] - max(heights["started"]) > 50
    assert heights["started"][0] - heights["started"][1] > 100
    assert "scale changes at" not in " ".join(drawn(scene(dot(1, 690), dot(2, 700))).texts)


def test_a_year_of_nothing_but_motoring_is_drawn() -> None:
    assert marks(drawn(scene(dot(1, 80, "motoring"), chart=None)))["motoring"]


def test_no_text_hides_a_mark() -> None:
    picture = drawn(scene(*DOTS, dot(202, 840), dot(203, 841)))
    papers = [shape for shape in picture.shapes if isinstance(shape, Rect) and shape.role == "paper"]
    assert len(papers) == 3
    for mark in (shape for shape in picture.shapes if isinstance(shape, Marker)):
        assert not any(p.x < mark.x < p.x + p.width and p.y < mark.y < p.y + p.height for p in papers)


def test_texts_and_marks_stay_in_the_picture() -> None:
    for size in (PHONE, DESK):
        picture = drawn(scene(*DOTS), size)
        for shape in picture.shapes:
            if isinstance(shape, Text | Marker):
                assert 0 <= shape.x <= size[0]
                assert 0 <= shape.y <= size[1]


def test_the_facts_are_the_pictures_newest_first() -> None:
    facts = start_facts(scene(*DOTS))
    assert [row["Against the limit"] for row in facts] == [
        "no peak recorded",
        "above the limit by 61 °C",
        "above the limit by 62 °C",
        "20 °C short of the limit",
        "670 °C short of the limit",
        "above the limit by 2 °C",
        "60 °C short of the limit",
    ]
    assert facts[0] == {
        "Start": "2026-09-22 08:00",
        "How it ended": "motored, no light-off",
        "Peak": "not recorded",
        "Against the limit": "no peak recorded",
    }


def test_the_sentences_say_the_same() -> None:
    assert summary_of(scene(*DOTS)) == (
        "7 starts: 3 started, 1 aborted after light-off, 2 motored, no light-off, 1 cut off by the end of the record. "
        "3 went beyond the limit of 750 °C (ITT, starting). The highest peak was 812 °C on 2026-06-14. "
        "1 without a peak in the table alone."
    )
    assert drawn(scene(*DOTS)).description == summary_of(scene(*DOTS))
    assert "None went beyond the limit" in summary_of(scene(dot(1, 700)))


@pytest.mark.parametrize(("on_boundary", "count"), [("within", "None"), ("beyond", "1")])
def test_a_peak_at_the_limit_counts_as_the_chart_says(on_boundary: str, count: str) -> None:
    at_limit = scene(dot(1, 750), chart=replace(STARTING, on_boundary=on_boundary))  # type: ignore[arg-type]
    assert f"{count} went beyond the limit" in summary_of(at_limit)
    assert against_words(at_limit, at_limit.dots[0]) == "at the limit"


def test_without_a_limit_nothing_is_said_to_be_beyond() -> None:
    bare = scene(dot(1, 700), chart=None)
    picture = drawn(bare)
    assert against_words(bare, bare.dots[0]) == "no starting limit in force"
    assert not any(isinstance(shape, Line) and shape.role == "limit" for shape in picture.shapes)
    assert "limit" not in summary_of(bare)
    assert not bare.is_beyond(bare.dots[0])


@pytest.mark.parametrize("chart", [STARTING, None])
def test_a_year_without_starts_is_drawn_and_said(chart: LimitChart | None) -> None:
    picture = drawn(scene(chart=chart), PHONE)
    assert picture.description == "No start was recorded in these twelve months."
    assert start_facts(scene(chart=chart)) == []


def test_starts_without_any_peak_are_in_the_table_alone() -> None:
    picture = drawn(scene(dot(1, None)))
    assert not any(isinstance(shape, Marker) for shape in picture.shapes)
    assert picture.description.endswith("1 without a peak in the table alone.")


def test_an_outcome_without_a_shape_is_a_disc_and_keeps_its_word() -> None:
    odd = scene(dot(1, 700, "other"))
    assert sum(isinstance(shape, Marker) for shape in drawn(odd).shapes) == 1
    assert start_facts(odd)[0]["How it ended"] == "other"


def test_of_very_many_starts_the_extremes_are_drawn() -> None:
    many = [dot(k * 364 / 20_000, 600 + k % 7, ("started", "aborted", "motoring", "cut")[k % 4]) for k in range(20_000)]
    many[777] = replace(many[777], peak=801)
    found = scene(*many)
    picture = drawn(found, PHONE)
    assert len(thinned_dots(found)) <= MOST_DOTS
    assert many[777] in thinned_dots(found)
    assert picture.drawn_points <= 2000
    assert "801 °C" in " ".join(picture.texts)
