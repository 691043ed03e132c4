from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from engines.charts import LimitChart
from engines.regimes import RegimeSpan
from engines.traces import Trace
from inspections.drawing.labels import text_width
from inspections.drawing.run_picture import run_picture
from inspections.drawing.shapes import Line, Marker, Picture, Polygon, Polyline, Text
from inspections.verdict import Excursion, Margin, Unobserved
from tests.inspections.drawing.cases import (
    BARE,
    GAP,
    ITT,
    LOW_OIL,
    OIL,
    REGIMES,
    RUNNING,
    STARTING,
    excursion,
    flight_picture,
    rects,
    texts_outside,
    texts_overlapping,
)

SIZES = [(360, 300), (480, 260), (1080, 420)]


def lines(picture: Picture, role: str) -> list[Line]:
    return [shape for shape in picture.shapes if isinstance(shape, Line) and shape.role == role]


def traces(picture: Picture) -> list[Polyline]:
    return [shape for shape in picture.shapes if isinstance(shape, Polyline)]


def shades(picture: Picture) -> list[Polygon]:
    return [shape for shape in picture.shapes if isinstance(shape, Polygon) and shape.role == "beyond"]


def oil_picture(**changes: Any) -> Picture:
    """Return a picture of an oil pressure that fell to 43 psi and has two gaps."""
    times = np.arange(0, 1200.0)
    values = np.interp(times, [0, 20, 600, 603, 640, 645, 1150, 1199], [10, 88, 86, 47, 43, 85, 84, 20])
    values[800:860] = np.nan
    values[300:304] = np.nan
    fall = excursion(
        chart=LOW_OIL.name, channel="oil_press", unit="psi", side="below", start_s=602.0, end_s=642.0, peak=43.0,
        seconds_above=40.0, levels=(), margin=Margin("B", 8.5, 3.0),
    )  # fmt: skip
    given: dict[str, Any] = {
        "trace": Trace(times, {"oil_press": values}), "chart": LOW_OIL, "excursions": [fall], "regimes": [],
        "unobserved": [Unobserved("oil_press", 799, 860), Unobserved("oil_press", 299, 304), GAP], "channel": OIL,
        "width": 360, "height": 300,
    }  # fmt: skip
    return run_picture(**given | changes)


def start_picture(*, width: float = 360, height: float = 300, cut: float = 80) -> Picture:
    """Return a picture of a hot start within a record that goes on for an hour."""
    times = np.arange(0, 3600.0, 0.5)
    values = np.interp(times, [0, cut, cut + 2, cut + 5, cut + 7, cut + 9, cut + 20], [35, 40, 300, 760, 871, 850, 600])
    hot = excursion(
        chart=STARTING.name, start_s=cut + 4.9, end_s=cut + 13, peak=871, seconds_above=8.1, area="1",
        area_possible="2", levels=(), margin=Margin("2", 1.0, 12.0),
    )  # fmt: skip
    regimes = [RegimeSpan("starting", cut - 4, cut + 12), RegimeSpan("running", cut + 12, 3599)]
    return run_picture(
        Trace(times, {"itt": values}), STARTING, [hot], regimes, [], channel=ITT, width=width, height=height
    )


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_the_picture_writes_every_fact(width: float, height: float) -> None:
    texts = " ".join(flight_picture([excursion()], width=width, height=height).texts)
    for fact in (
        "Interstage turbine temperature, °C",
        "Limit 700 °C",
        "A over 60 s",
        "B at once",
        "Peak 718 °C at 17:30",
        "70.7 s above 700 °C",
        "Area A",
        "not observed 24 s",
        "starting",
        "running",
        "stopping",
        "720",
        "Time from start of record (min:s)",
        "10:00",
    ):
        assert fact in texts


@pytest.mark.parametrize(("width", "height"), SIZES)
@pytest.mark.parametrize("kind", ["one", "two", "none", "low", "start"])
def test_no_texts_overlap_or_run_over_the_edge(kind: str, width: float, height: float) -> None:
    size: dict[str, float] = {"width": width, "height": height}
    small = excursion(start_s=1094.0, end_s=1094.5, peak=701.0, seconds_above=0.5, area=None, area_possible=None)
    picture = {
        "one": lambda: flight_picture([excursion()], **size),
        "two": lambda: flight_picture([excursion(area_possible="B"), small], **size),
        "none": lambda: flight_picture([], **size),
        "low": lambda: oil_picture(**size),
        "start": lambda: start_picture(**size),
    }[kind]()
    assert texts_overlapping(picture) == []
    assert texts_outside(picture) == []


def test_one_high_sample_of_twenty_thousand_is_drawn_and_named() -> None:
    times = np.arange(20_000.0)
    values = 600 + 20 * np.sin(times)
    values[12_345] = 715.0
    spike = excursion(start_s=12_344.1, end_s=12_345.9, peak=715.0, seconds_above=0.3)
    picture = flight_picture(
        [spike], trace=Trace(times, {"itt": values}), regimes=[], unobserved=[], width=1080, height=420
    )
    top = min(y for trace in traces(picture) for _, y in trace.points)
    (mark, *_) = [shape for shape in picture.shapes if isinstance(shape, Marker)]
    assert top == pytest.approx(mark.y, abs=0.01)
    assert "Peak 715 °C at 205:45" in picture.texts
    assert picture.drawn_points <= 2000


@pytest.mark.parametrize("share", [0.0, 0.5])
def test_points_stay_few_however_rough_the_record(share: float) -> None:
    times = np.arange(50_000.0)
    values = np.random.default_rng(7).normal(700, 30, times.size)
    gaps = [Unobserved("itt", t, t + 1) for t in np.arange(0, 50_000 * share, 40)]
    whole = excursion(start_s=0.0, end_s=49_999.0)
    parts = [excursion(start_s=t, end_s=t + 19) for t in np.arange(0, 50_000, 40.0)]
    for found in ([whole], parts):
        picture = flight_picture(
            found, trace=Trace(times, {"itt": values}), regimes=[], unobserved=gaps, width=1080, height=420
        )
        assert 800 < picture.drawn_points <= 2000
        assert len(picture.shapes) < 1200


def test_gaps_break_the_trace_and_are_never_bridged() -> None:
    before, after = traces(flight_picture([excursion()]))
    (left, right) = [line.start[0] for line in lines(flight_picture([excursion()]), "gap")]
    assert before.points[-1][0] <= left + 0.1
    assert after.points[0][0] >= right - 0.1


def test_long_gaps_are_striped_and_other_channels_gaps_left_out() -> None:
    picture = oil_picture()
    assert len(rects(picture, "gap")) == 1
    assert {"not observed 61 s", "not observed 5 s"} <= set(picture.texts)
    assert "not observed 24 s" not in picture.texts


def test_a_gap_in_a_steep_rise_says_its_length_beside_itself() -> None:
    times = np.arange(0, 1400.0)
    values = np.interp(times, [0, 300, 330, 600, 1399], [400, 640, 760, 640, 500])
    values[331:338] = np.nan
    steep = Trace(times, {"itt": values})
    # The record swings across the whole box where the gap is, so that no row over it is free.
    values[320:331:2], values[338:348:2] = 20.0, 20.0
    picture = flight_picture([], trace=steep, regimes=[], unobserved=[Unobserved("itt", 330, 338)])
    label = next(shape for shape in picture.shapes if isinstance(shape, Text) and shape.content == "not observed 8 s")
    gap = lines(picture, "gap")[0].start[0]
    assert abs(label.x - gap) > text_width(label.content, label.size) / 2


def test_many_gaps_are_labelled_only_where_there_is_room() -> None:
    gaps = [Unobserved("itt", t, t + 3 + t / 1000) for t in range(100, 2300, 12)]
    picture = flight_picture([excursion()], unobserved=gaps)
    labels = [text for text in picture.texts if text.startswith("not observed")]
    assert 1 <= len(labels) <= 12
    assert texts_overlapping(picture) == []


def test_time_beyond_the_limit_is_shaded_only_where_it_is_counted() -> None:
    (shade,) = shades(flight_picture([excursion()]))
    (limit,) = lines(flight_picture([excursion()]), "limit")
    assert max(y for _, y in shade.points) == pytest.approx(limit.start[1], abs=0.01)
    assert shades(flight_picture([])) == []


def test_a_stretch_back_within_the_limit_is_not_shaded() -> None:
    times = np.arange(0, 60.0)
    values = np.interp(times, [0, 10, 20, 30, 40, 59], [600, 720, 640, 640, 720, 600])
    joined = excursion(start_s=8.4, end_s=43.0)
    (shade,) = shades(flight_picture([joined], trace=Trace(times, {"itt": values}), regimes=[], unobserved=[]))
    lowest = max(y for _, y in shade.points)
    assert sum(y == lowest for _, y in shade.points) > 15


def test_areas_are_hatched_over_the_regimes_they_judge() -> None:
    picture = flight_picture([excursion()])
    hatched = rects(picture, "area")
    assert [rect.hatch.name for rect in hatched if rect.hatch] == ["slant", "back", "back"]
    (trace, *_) = traces(picture)
    assert min(rect.x for rect in hatched) > trace.points[0][0]
    everywhere = rects(flight_picture([excursion()], regimes=[]), "area")
    assert min(rect.x for rect in everywhere) == pytest.approx(trace.points[0][0], abs=0.01)


def test_a_limit_far_up_the_scale_gets_half_the_height() -> None:
    picture = flight_picture([excursion()])
    assert "scale changes at 650 °C" in " ".join(picture.texts)
    (turn,) = lines(picture, "turn")
    (limit,) = lines(picture, "limit")
    assert limit.start[1] < turn.start[1]


def test_a_limit_near_the_middle_needs_no_change_of_scale() -> None:
    assert not lines(oil_picture(), "turn")


def test_a_chart_of_starts_shows_the_start_alone() -> None:
    picture = start_picture()
    assert "Peak 871 °C at 1:27" in picture.texts
    assert "60:00" not in picture.texts
    assert "Area 1, at worst area 2" in picture.texts


def test_many_bands_in_little_room_are_named_shortly() -> None:
    assert "area 1, 2 or 3" in " ".join(start_picture().texts)
    assert "1 over 10 to 5 s" in " ".join(start_picture(width=1080, height=520).texts)


def test_a_low_limit_hangs_its_areas_downward_and_its_callouts_below() -> None:
    picture = oil_picture()
    (limit,) = lines(picture, "limit")
    assert all(rect.y >= limit.start[1] - 0.01 for rect in rects(picture, "area"))
    assert {"Lowest 43 psi at 10:40", "40 s at or below 60 psi"} <= set(picture.texts)


def test_a_low_limit_without_positive_room_runs_below_nought() -> None:
    chart = replace(LOW_OIL, limit=-5, areas=(), name="G")
    picture = oil_picture(chart=chart, excursions=[])
    assert "Limit -5 psi" in " ".join(picture.texts)
    assert "Lowest 10 psi at 0:00" in picture.texts


def test_what_no_sample_proves_is_said_so() -> None:
    may = excursion(start_s=409.0, end_s=433.0, peak=None, seconds_above=0.0, area=None, area_possible="B", margin=None)
    texts = flight_picture([may]).texts
    assert {"May have been above 700 °C", "6:49 to 7:13", "No area proven, at worst area B"} <= set(texts)


@pytest.mark.parametrize(
    ("span", "peak", "words"),
    [
        ((1100.2, 1100.7), 628.0, "Peak 628 °C at 18:21"),
        ((1022.4, 1100.5), 640.0, "Peak 640 °C at 18:20"),
        ((1200.2, 1200.7), None, "Peak 700 °C at 20:00"),
    ],
)
def test_a_peak_cut_by_a_regimes_edge_is_marked_there(span: tuple[float, float], peak: float, words: str) -> None:
    times = np.arange(0, 2400.0)
    trace = Trace(times, {"itt": np.interp(times, [0, 1100, 1101, 2399], [600, 600, 640, 640])})
    cut = excursion(start_s=span[0], end_s=span[1], peak=peak, seconds_above=0.5)
    assert words in flight_picture([cut], trace=trace, unobserved=[]).texts


def test_a_peak_outside_what_is_shown_is_marked_at_the_excursions_beginning() -> None:
    empty = Trace(np.arange(5.0), {"itt": np.full(5, np.nan)})
    picture = flight_picture([excursion(start_s=1.0, end_s=3.0)], trace=empty, regimes=[], unobserved=[])
    assert "Peak 718 °C at 0:01" in picture.texts


def test_an_open_end_makes_the_time_a_least_one() -> None:
    assert "at least 70.7 s above 700 °C" in flight_picture([excursion(open_ended=True)]).texts


def test_the_most_severe_of_many_excursions_are_called_out() -> None:
    many = [
        excursion(start_s=t, end_s=t + 20.0, area=area, area_possible=area, seconds_above=t / 100)
        for t, area in ((300.0, None), (600.0, None), (900.0, "B"), (1200.0, None), (1500.0, "A"), (1800.0, None))
    ]
    narrow, wide = flight_picture(many), flight_picture(many, width=1080, height=420)
    assert [text for text in narrow.texts if text.startswith("Area")] == ["Area B", "Area A"]
    assert "and 4 others in the table" in narrow.texts
    assert "and 2 others in the table" in wide.texts
    assert len([shape for shape in wide.shapes if isinstance(shape, Marker)]) == 10
    assert "more" not in narrow.description


def test_the_description_tells_six_and_counts_the_rest() -> None:
    many = [excursion(start_s=t, end_s=t + 20.0) for t in range(100, 900, 100)]
    assert flight_picture(many).description.endswith("2 more excursions in the table. Not observed: 24 s.")


@pytest.mark.parametrize(
    ("chart", "regimes", "words"),
    [
        (replace(RUNNING, limit=730, areas=()), REGIMES, "No sample above 730 °C while running or stopping"),
        (replace(RUNNING, limit=730, areas=()), (), "No sample above 730 °C"),
        (BARE, REGIMES, "No sample above 900 °C"),
    ],
)
def test_a_quiet_record_names_its_highest_sample(chart: LimitChart, regimes: Any, words: str) -> None:
    picture = flight_picture([], chart=chart, regimes=regimes)
    assert {"Highest 718 °C at 17:30", words} <= set(picture.texts)
    assert picture.description == f"Interstage turbine temperature: n{words[1:]}. Not observed: 24 s."


def test_a_channel_without_a_valid_sample_says_so() -> None:
    empty = Trace(np.arange(5.0), {"itt": np.full(5, np.nan)})
    picture = flight_picture([], trace=empty, regimes=[], unobserved=[Unobserved("itt", 0, 4)])
    assert "No valid sample of this channel" in picture.texts
    assert traces(picture) == []


@pytest.mark.parametrize("rows", [0, 1])
def test_a_record_of_no_length_still_draws(rows: int) -> None:
    single = Trace(np.zeros(rows), {"itt": np.full(rows, 650.0)})
    assert len(traces(flight_picture([], trace=single, regimes=[], unobserved=[]))) == rows


def test_a_window_shows_part_of_the_run_with_its_own_excursions() -> None:
    early = excursion(start_s=100.0, end_s=120.0, area="B", area_possible="B")
    unknown = excursion(start_s=None, end_s=None)
    picture = flight_picture([early, excursion(), unknown], window=(1000.0, 1120.0))
    assert "Area B" not in picture.texts
    assert "17:00" in picture.texts
    assert "not observed 24 s" not in picture.texts
    assert "starting" not in picture.texts


def test_regimes_too_many_to_name_keep_their_marks() -> None:
    spans = [RegimeSpan("running" if k % 2 else "stopping", 100.0 * k, 100.0 * k + 100) for k in range(20)]
    spans.append(RegimeSpan("running", 2000.0, 2390.0))
    picture = flight_picture([excursion()], regimes=spans, width=700)
    assert picture.texts.count("running") == 1
    assert len(lines(picture, "regime")) == 63


def test_other_charts_excursions_are_left_out() -> None:
    other: Excursion = excursion(chart="another", area="B")
    assert "Area B" not in flight_picture([other, excursion()]).texts


def test_everything_above_the_limit_is_drawn_on_one_scale() -> None:
    times = np.arange(0, 100.0)
    picture = flight_picture([], trace=Trace(times, {"itt": np.full(100, 715.0)}), regimes=[], unobserved=[])
    assert not lines(picture, "turn")
