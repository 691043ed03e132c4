"""The demo's recorded traces: the same for the same seed, and each what its scenario says."""

import datetime
import hashlib
import io
from functools import cache
from typing import Any

import numpy as np
import pytest

from engines.documents import engine_type_read
from engines.recordings import recording_read
from engines.settled import cruise_found, settings_of
from engines.traces import Floats, Recording
from inspections.exceedance import judge
from inspections.verdict import Verdict
from logbook.demo.draws import Draws
from logbook.demo.plan import RunPlan, plan_read
from logbook.demo.recorder import clock_of
from logbook.demo.runs import course_of, flight_times
from logbook.demo.traces import trace_csv
from logbook.demo.turbine import lagged

TODAY = datetime.date(2026, 6, 1)
PLAN = plan_read()
LIMITS, DRAFT = engine_type_read(PLAN.limits.document), engine_type_read(PLAN.draft.document)
RECORDED = [run for run in PLAN.runs if run.scenario]
UNEVENTFUL = {"flight", "ground_run"}

# What each scenario comes to by the limits in force, and by the draft: chart, area, area possible.
EXPECTED: dict[str, tuple[list[tuple[str, str | None, str | None]], list[tuple[str, str | None, str | None]]]] = {
    "flight": ([], []),
    "ground_run": ([], []),
    "cruise_set": ([], []),
    "dry_motoring": ([], []),
    "hung_start": ([("ITT, starting", None, None)], [("ITT, starting", None, None)]),
    "hot_start": ([("ITT, starting", "B", "B")], [("ITT, starting", "B", "B")]),
    "over_torque": ([("Torque", "B", "B")], [("Torque", "B", "B")]),
    "oil_pressure_dip": ([("Oil pressure, running", "A", "A")], [("Oil pressure, running", "A", "A")]),
    "sensor_gap": ([("ITT, running", "A", "B")], [("ITT, running", "A", "B")]),
    "warm_take_off": ([("ITT, running", None, None)], [("ITT, running", "A", "A")]),
    "just_inside": ([("ITT, running", None, None)], [("ITT, running", "A", "A")]),
    "long_take_off": ([("ITT, running", "A", "A")], [("ITT, running", "B", "B")]),
}
OUTCOMES = {"hung_start": "aborted", "dry_motoring": "motoring"}

PLAIN = {
    "serial": "X-1",
    "recorder": {
        "rate_hz": 4,
        "time": {"as": "seconds", "header": "time_s", "unit": "s"},
        "columns": [
            {"channel": "itt", "header": "itt", "unit": "degC"},
            {"channel": "n1", "header": "n1", "unit": "%"},
        ],
    },
}
MOTORING = {
    "course": "motoring", "minutes": 0.5, "air_temp": 10, "crank_s": 8, "started_at": "2026-05-04T23:59:50+00:00",
}  # fmt: skip


def recorder(**changes: Any) -> dict[str, Any]:
    return PLAIN | {"recorder": {**PLAIN["recorder"], **changes}}  # type: ignore[dict-item]


def recording(run: RunPlan) -> Recording:
    return recording_of(run.key)


@cache
def recording_of(key: str) -> Recording:
    run = next(run for run in RECORDED if run.key == key)
    text = run.trace(TODAY)
    assert text is not None
    file = io.BytesIO(text.encode())
    return recording_read(file, LIMITS, columns=run.engine.match, units=run.engine.units, name=run.file_name)


def named(name: str) -> RunPlan:
    return next(run for run in RECORDED if run.scenario and run.scenario["name"] == name)


def valid(run: RunPlan, channel: str) -> tuple[Floats, Floats]:
    """Return the times and readings of a channel, missing ones left out."""
    trace = recording(run).trace
    there = np.isfinite(trace.channels[channel])
    return trace.times[there], trace.channels[channel][there]


def seconds_above(times: Floats, values: Floats, level: float, *, gap_s: float = 2.0) -> float:
    """Return the time above a level by straight lines between neighbours, gaps left out."""
    steps, low, high = np.diff(times), np.minimum(values[1:], values[:-1]), np.maximum(values[1:], values[:-1])
    share = np.clip((high - level) / np.maximum(high - low, 1e-12), 0.0, 1.0)
    return float((steps * share)[steps <= gap_s].sum())


@pytest.mark.parametrize(
    ("values", "level", "seconds"),
    [([0, 10, 0], 5, 1.0), ([10, 10, 10], 10, 0.0), ([10, 10, 0], 0, 2.0), ([0, 10, 10], 9, 1.1)],
)
def test_time_above_a_level_is_measured(values: list[float], level: float, seconds: float) -> None:
    assert seconds_above(np.arange(3.0), np.array(values, dtype=float), level) == pytest.approx(seconds)


# The same everywhere


def test_the_same_seed_gives_the_same_text_and_another_seed_another() -> None:
    texts = [trace_csv(MOTORING, seed, PLAIN) for seed in (7, 7, 8)]
    assert texts[0] == texts[1] != texts[2]


def test_a_known_seed_gives_the_text_known_from_other_machines() -> None:
    text = named("hot_start").trace(TODAY)
    assert text is not None
    assert (
        hashlib.sha256(text.encode()).hexdigest() == "2a7c350c6c12f28804655b6cf103130e5468a81c07c161ad1bbbcc3124ce1e4a"
    )


def test_streams_of_one_seed_differ_and_noise_keeps_its_bounds() -> None:
    one, other = (Draws(1, stream).noise(40_000, 2.0) for stream in (1, 2))
    assert not np.array_equal(one, other)
    assert abs(one.mean()) < 0.05
    assert one.std() == pytest.approx(2.0, rel=0.02)
    assert np.abs(one).max() <= 7.0


def test_drop_outs_come_as_often_as_said_and_never_side_by_side() -> None:
    chosen = Draws(3, 1).chosen(60_000, 5)
    assert chosen.sum() == pytest.approx(10_000, rel=0.05)
    assert not (chosen[1:] & chosen[:-1]).any()


def test_a_lag_goes_most_of_the_way_in_its_time() -> None:
    followed = lagged(np.full(80, 100.0), 2.0, 0.0)
    assert followed[7] == pytest.approx(63.2, abs=3.0)  # one time constant, eight steps
    assert (np.diff(followed) > 0).all()


# As a recorder writes it


@pytest.mark.parametrize(
    ("how", "first", "last"),
    [
        ("seconds", "0.00", "29.75"),
        ("clock", "23:59:50.00", "00:00:19.75"),
        ("stamp", "2026-05-04T23:59:50.000Z", "2026-05-05T00:00:19.750Z"),
    ],
)
def test_time_is_written_in_each_way(how: str, first: str, last: str) -> None:
    lines = trace_csv(MOTORING, 1, recorder(time={"as": how, "header": "T", "unit": ""})).splitlines()
    assert (lines[0], lines[1].split(",")[0], lines[-1].split(",")[0]) == ("T,itt,n1", first, last)


def test_a_layout_of_its_own_is_written() -> None:
    columns = [
        {"header": "Flag", "unit": "", "text": "OK"},
        {"channel": "itt", "header": "T5", "unit": "degF", "factor": 1.8, "offset": 32},
        {"channel": "n1", "header": "Ng", "unit": "%"},
    ]
    layout = recorder(
        rate_hz=1, columns=columns, delimiter=";", decimal=",", line_end="\r\n", byte_order_mark=True, unit_row=True,
        preamble=["Serial {serial}", "From {started_at}"],
    )  # fmt: skip
    text = trace_csv(MOTORING, 1, layout)
    lines = text.split("\r\n")
    assert lines[:4] == ["\ufeffSerial X-1", "From 2026-05-04 23:59", "time_s;Flag;T5;Ng", "s;;degF;%"]
    assert (len(lines), lines[-1]) == (4 + 30 + 1, "")
    time, flag, heat, speed = lines[4].split(";")
    assert (time, flag, speed[1:2]) == ("0,00", "OK", ",")
    assert 98 <= int(heat) <= 110  # 40 °C of what was left from the run before


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: course_of({"course": "glide"}, Draws(1, 0)), "course must be one of start_only, flight"),
        (lambda: clock_of(np.zeros(1), "sundial", datetime.datetime.now(datetime.UTC)), "not 'sundial'"),
        (lambda: trace_csv(MOTORING, 1, recorder(rate_hz=3)), "rate_hz must be 1, 2 or 4, not 3"),
    ],
)
def test_what_is_not_known_is_refused_by_name(call: Any, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        call()


# What each scenario says


@pytest.mark.parametrize("run", RECORDED, ids=lambda run: f"{run.key} {run.scenario['name']}")
def test_every_trace_is_read_whole_and_comes_to_what_its_scenario_says(run: RunPlan) -> None:
    assert run.scenario is not None
    name, read = run.scenario["name"], recording(run)
    air = set() if run.scenario["course"] == "cruise_set" else {"oat", "altitude"}
    assert {match.channel for match in read.matches} == {channel.name for channel in LIMITS.channels} - air
    verdict, draft = judge(read, LIMITS), judge(read, DRAFT)
    assert (areas(verdict), areas(draft)) == EXPECTED[name]
    assert [start.outcome for start in verdict.starts] == [OUTCOMES.get(name, "started")]
    assert (verdict.notes, verdict.not_judged) == ((), ())
    assert {gap.channel for gap in verdict.unobserved} == ({"itt"} if name == "sensor_gap" else set())


def areas(verdict: Verdict) -> list[tuple[str, str | None, str | None]]:
    return [(e.chart, e.area, e.area_possible) for e in verdict.excursions]


def test_every_scenario_expected_is_in_the_plan() -> None:
    assert set(PLAN.scenarios) == set(EXPECTED)


@pytest.mark.parametrize("run", [run for run in RECORDED if run.scenario and run.scenario["name"] in UNEVENTFUL],
                         ids=lambda run: run.key)  # fmt: skip
def test_uneventful_runs_stay_well_inside_every_limit(run: RunPlan) -> None:
    extremes = {name: (values.min(), values.max()) for name, (_, values) in
                ((name, valid(run, name)) for name in ("itt", "n1", "np", "torque", "oil_temp"))}  # fmt: skip
    assert 640 <= extremes["itt"][1] <= 695
    assert 96 <= extremes["n1"][1] <= 99.5
    assert 1790 <= extremes["np"][1] <= 1880
    assert 88 <= extremes["torque"][1] <= 97
    assert 40 <= extremes["oil_temp"][1] <= 95
    times, speed = valid(run, "n1")
    pressure = np.interp(times, *valid(run, "oil_press"))
    assert pressure[speed >= 50].min() >= 70


def test_a_start_lights_peaks_and_settles_at_idle() -> None:
    run = next(run for run in RECORDED if run.kind == "flight")
    times, heat = valid(run, "itt")
    at_60_s = int(np.searchsorted(times, 75.0))
    assert 620 <= heat[:at_60_s].max() <= 700
    assert heat[at_60_s] == pytest.approx(478, abs=12)
    assert np.argmax(heat[:at_60_s]) < at_60_s / 2
    volts = valid(run, "bus_volts")[1]
    assert volts.min() < 20 < 27.5 < volts[volts.size // 2]


def test_a_flight_is_in_the_air_between_the_times_it_says() -> None:
    run = next(run for run in RECORDED if run.kind == "flight")
    times, torque = valid(run, "torque")
    off, down = flight_times(float(times[-1]) + 0.25)
    assert torque[times < off - 15].max() < 20 < 85 < torque[(times > off + 15) & (times < off + 60)].min()
    assert torque[times > down + 20].max() < 15


def test_the_hot_start_is_hot_for_seconds() -> None:
    times, heat = valid(named("hot_start"), "itt")
    assert 825 <= heat.max() <= 845
    assert 7 <= seconds_above(times, heat, 760) <= 9


def test_the_hung_start_lights_but_stays_below_idle() -> None:
    run = named("hung_start")
    assert valid(run, "n1")[1].max() < 45
    assert 700 < valid(run, "itt")[1].max() < 780


def test_dry_motoring_turns_without_light() -> None:
    run = named("dry_motoring")
    assert 13 <= valid(run, "n1")[1].max() <= 16
    assert valid(run, "itt")[1].max() < 60
    assert valid(run, "fuel_flow")[1].max() < 6


@pytest.mark.parametrize(
    ("name", "least", "most"),
    [("warm_take_off", 46.0, 52.0), ("just_inside", 58.0, 59.5), ("long_take_off", 65.0, 80.0)],
)
def test_take_offs_are_above_their_limit_as_long_as_said(name: str, least: float, most: float) -> None:
    times, heat = valid(named(name), "itt")
    assert least <= seconds_above(times, heat, 700) <= most
    assert heat.max() < 720


def test_the_over_torque_lasts_past_its_allowance_and_agrees_with_what_was_read() -> None:
    run = named("over_torque")
    times, torque = valid(run, "torque")
    (reading,) = run.readings
    assert reading.peak == pytest.approx(torque.max(), abs=1.0)
    assert seconds_above(times, torque, 100) == pytest.approx(reading.seconds, abs=2.0)
    assert 105 < torque.max() < 110
    assert seconds_above(times, torque, 100) > 10


def test_the_gap_opens_while_the_temperature_is_above_its_limit() -> None:
    times, heat = valid(named("sensor_gap"), "itt")
    widest = int(np.argmax(np.diff(times)))
    assert 6 < np.diff(times)[widest] < 9
    assert heat[widest] > 720
    assert heat[widest + 1] < 700


def test_the_oil_pressure_dips_below_its_limit_for_a_moment() -> None:
    times, pressure = valid(named("oil_pressure_dip"), "oil_press")
    running = (times > 60) & (times < times[-1] - 60)
    assert 46 <= pressure[running].min() < 60
    assert 10 < seconds_above(times[running], -pressure[running], -60) < 16


def test_a_flight_of_set_cruise_shows_it_and_the_air() -> None:
    flights = [run for run in RECORDED if run.scenario and run.scenario["name"] == "cruise_set"]
    assert len(flights) == 3 and LIMITS.power is not None
    for run in flights:
        found = cruise_found(settings_of(recording(run).trace, LIMITS.power, 25.0, 2.0), LIMITS.power)
        assert found is not None and run.scenario is not None
        assert found.cruise.means["altitude"] == pytest.approx(run.scenario["altitude"], abs=20)
        air = run.scenario["air_temp"] - 0.002 * (run.scenario["altitude"] - 600)
        assert found.cruise.means["oat"] == pytest.approx(air, abs=0.5)
        # At one power torque times speed stays.
        power = [setting.means["torque"] * setting.means["np"] for setting in (found.reduced, found.cruise)]
        assert power[1] == pytest.approx(power[0], rel=0.01)
