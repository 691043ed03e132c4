from dataclasses import replace

import pytest

from engines.charts import Channel, LimitChart
from inspections.drawing.curve_picture import curve_picture
from inspections.drawing.shapes import Line, Marker, Picture, Polygon, Polyline
from inspections.verdict import Excursion
from tests.inspections.drawing.cases import (
    BARE,
    ITT,
    LOW_OIL,
    OIL,
    RUNNING,
    STARTING,
    area,
    excursion,
    texts_outside,
    texts_overlapping,
)

NARROW, WIDE = (360.0, 300.0), (1080.0, 420.0)
CURVE = [(700.0, 70.7), (706.0, 55.0), (712.0, 32.0), (712.0, 30.0), (717.0, 3.0), (718.0, 0.0)]
HOT = excursion(chart=STARTING.name, peak=871.0, seconds_above=6.1, area="2", area_possible="3", margin=None)
HOT_CURVE = [(750.0, 6.1), (800.0, 3.9), (850.0, 1.8), (871.0, 0.0)]
LOW = excursion(chart=LOW_OIL.name, side="below", unit="psi", peak=43.0, seconds_above=41.5)
LOW_CURVE = [(60.0, 41.5), (50.0, 40.2), (45.0, 12.0), (43.0, 0.0)]
CASES: list[tuple[list[tuple[float, float]], LimitChart, Excursion, Channel]] = [
    (CURVE, RUNNING, excursion(), ITT),
    (HOT_CURVE, STARTING, HOT, ITT),
    (LOW_CURVE, LOW_OIL, LOW, OIL),
]


def lines(picture: Picture, role: str) -> list[Polyline]:
    return [shape for shape in picture.shapes if isinstance(shape, Polyline) and shape.role == role]


def markers(picture: Picture) -> list[Marker]:
    return [shape for shape in picture.shapes if isinstance(shape, Marker)]


@pytest.mark.parametrize("size", [NARROW, (480.0, 260.0), WIDE])
@pytest.mark.parametrize(("points", "chart", "found", "channel"), CASES)
def test_no_texts_overlap_or_run_over_the_edge(
    points: list[tuple[float, float]],
    chart: LimitChart,
    found: Excursion,
    channel: Channel,
    size: tuple[float, float],
) -> None:
    picture = curve_picture(points, chart, found, channel, size=size)
    assert texts_overlapping(picture) == []
    assert texts_outside(picture) == []
    assert {f"Area {known.name}" for known in chart.areas} <= set(picture.texts)


def test_the_picture_writes_every_fact() -> None:
    picture = curve_picture(CURVE, RUNNING, excursion(), ITT, size=NARROW)
    assert {
        "Interstage turbine temperature, °C",
        "70.7 s above 700 °C, peak 718 °C: area A",
        "Limit 700 °C",
        "718 °C",
        "70.7 s",
        "720",
        "760",
        "Time above the value (s)",
    } <= set(picture.texts)
    assert picture.description.startswith("Interstage turbine temperature was above 700 °C for 70.7 s")


def test_areas_are_drawn_where_their_allowed_time_is_passed() -> None:
    picture = curve_picture(CURVE, RUNNING, excursion(), ITT, size=NARROW)
    hatched = [(s.hatch.name if s.hatch else "", len(s.points)) for s in picture.shapes if isinstance(s, Polygon)]
    assert hatched == [("slant", 5), ("slant", 5), ("back", 5), ("back", 5)]
    first, second = lines(picture, "edge")
    assert first.points[1][0] > second.points[1][0]


def test_the_curve_ends_at_the_peak_and_at_the_limit() -> None:
    picture = curve_picture(CURVE, RUNNING, excursion(), ITT, size=NARROW)
    (curve,) = lines(picture, "curve")
    (limit,) = [shape for shape in picture.shapes if isinstance(shape, Line) and shape.role == "limit"]
    peak, longest = markers(picture)
    assert curve.points[0] == pytest.approx((longest.x, limit.start[1]), abs=0.01)
    assert curve.points[-1] == pytest.approx((peak.x, peak.y), abs=0.01)
    assert not lines(picture, "by-peak")


def test_a_chart_read_by_its_peak_shows_the_rectangle_it_judges() -> None:
    picture = curve_picture(HOT_CURVE, STARTING, HOT, ITT, size=WIDE)
    (box,) = lines(picture, "by-peak")
    (mark,) = markers(picture)
    assert box.points[1] == pytest.approx((mark.x, mark.y), abs=0.01)
    assert {"judged as 6.1 s at 871 °C", "as recorded"} <= set(picture.texts)
    assert "6.1 s above 750 °C, peak 871 °C: area 2, at worst area 3" in picture.texts


def test_a_low_limit_hangs_its_areas_downward() -> None:
    picture = curve_picture(LOW_CURVE, LOW_OIL, LOW, OIL, size=NARROW)
    (limit,) = [shape for shape in picture.shapes if isinstance(shape, Line) and shape.role == "limit"]
    corners = [y for shape in picture.shapes if isinstance(shape, Polygon) for _, y in shape.points]
    assert min(corners) == pytest.approx(limit.start[1], abs=0.01)
    assert "Time at or below the value (s)" in picture.texts
    assert "41.5 s at or below 60 psi, lowest 43 psi: area A" in " ".join(picture.texts)


def test_a_short_excursion_on_a_long_chart_is_given_room() -> None:
    long = replace(RUNNING, boundary="linear", areas=(area("A", (700, 300), (720, 60), (740, 0)),))
    picture = curve_picture(CURVE, long, excursion(), ITT, size=NARROW)
    assert "scale changes at 100 s" in picture.texts
    longest = markers(picture)[1]
    assert longest.x > 120
    (edge,) = lines(picture, "edge")
    assert len(edge.points) == 8


def test_long_times_are_marked_in_minutes() -> None:
    long = replace(RUNNING, areas=(area("A", (700, 1200), (720, 0)),))
    picture = curve_picture([(700.0, 900.0), (718.0, 0.0)], long, excursion(seconds_above=900.0), ITT, size=NARROW)
    assert {"Time above the value (min:s)", "10:00", "20:00"} <= set(picture.texts)


def test_a_chart_without_areas_or_time_still_draws() -> None:
    short = excursion(seconds_above=None, peak=None, area=None, area_possible=None)
    picture = curve_picture([(900.0, 0.0)], BARE, short, ITT, size=NARROW)
    assert "No area entered" in picture.texts
    assert lines(picture, "curve")[0].points


def test_an_open_end_makes_the_time_a_least_one() -> None:
    picture = curve_picture(CURVE, RUNNING, excursion(open_ended=True), ITT, size=WIDE)
    assert "At least 70.7 s above 700 °C, peak 718 °C: area A" in picture.texts


def test_areas_that_share_an_edge_name_only_what_can_be_seen() -> None:
    twins = replace(RUNNING, areas=(area("A", (700, 60), (720, 0)), area("B", (700, 60), (720, 0))))
    picture = curve_picture(CURVE, twins, excursion(), ITT, size=NARROW)
    assert "Area B" in picture.texts
    assert "Area A" not in picture.texts


def test_a_low_limit_below_nought_keeps_its_far_side() -> None:
    negative = replace(LOW_OIL, limit=-5, areas=(), on_boundary="within")
    picture = curve_picture([(-5.0, 4.0), (-8.0, 0.0)], negative, LOW, OIL, size=NARROW)
    assert "Limit -5 psi" in picture.texts


def test_a_crowded_chart_still_names_every_area() -> None:
    crowded = replace(RUNNING, areas=tuple(area(str(k), (700 + k, 60), (702 + k, 0)) for k in range(12)))
    picture = curve_picture(CURVE, crowded, excursion(), ITT, size=(360.0, 150.0))
    assert {f"Area {k}" for k in range(12)} <= set(picture.texts)


def test_long_curves_are_drawn_in_few_points() -> None:
    many = [(700 + k / 1000, 70.0 - 70 * k / 20_000) for k in range(20_001)]
    picture = curve_picture(many, RUNNING, excursion(), ITT, size=WIDE)
    (curve,) = lines(picture, "curve")
    assert len(curve.points) <= 800
    assert picture.drawn_points <= 2000


def test_a_curve_without_points_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one point"):
        curve_picture([], RUNNING, excursion(), ITT, size=NARROW)
