"""What must not change what is read of a start: when the clock began, how finely it was recorded, in which unit."""

from dataclasses import fields
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engines.documents import engine_type_read
from engines.shutdowns import shutdowns_of
from engines.starts import StartFigures, starts_of
from engines.traces import Trace
from tests.engines.starts_kit import FUEL, ITT, N1, OIL, RULES, VOLTS, document_with, type_with

MOMENTS = ("turning_s", "end_s", "starter_s", "starter_off_s", "fuel_s", "light_off_s", "peak_s", "idle_s")
TEMPERATURES = ("peak", "idle_temperature", "residual")
DOWN = [45, 30, 20, 12, 7, 3, 0, 0]


@st.composite
def traces(draw: st.DrawFn) -> Trace:
    """Return a start whose figures are moved a little, on a grid of binary fractions, with a shutdown behind it."""
    eighths = st.integers(-8, 8).map(lambda n: n / 8)
    itt = [*ITT, 500.0, 450.0, 420.0, 400.0, 390.0, 380.0, 370.0, 360.0]
    columns = {
        "n1": [*N1, *DOWN],
        "itt": [value + 4 * draw(eighths) for value in itt],
        "fuel": [*FUEL, *[0] * 8],
        "volts": [*[value + draw(eighths) for value in VOLTS], *[24] * 8],
        "oil": [*OIL, *[50] * 8],
        "torque": [5.0] * 32,
    }
    return Trace(np.arange(32.0), {name: np.array(values, dtype=float) for name, values in columns.items()})


def told(trace: Trace, document: dict[str, Any] | None = None) -> StartFigures:
    (found,) = starts_of(trace, engine_type_read(document) if document else type_with())
    return found


@settings(max_examples=60, deadline=None)
@given(traces(), st.integers(-4000, 4000))
def test_a_clock_that_began_otherwise_moves_every_moment_and_no_length(trace: Trace, shift: int) -> None:
    moved = Trace(trace.times + shift, trace.channels)
    before, after = told(trace), told(moved)
    for field in fields(StartFigures):
        one, other = getattr(before, field.name), getattr(after, field.name)
        if field.name in MOMENTS:
            assert (None if one is None else one + shift) == other
        elif field.name == "limiting":
            assert [(a + shift, b + shift) for a, b in one] == list(other)
        else:
            assert one == pytest.approx(other) if isinstance(one, float) else one == other
    assert [s.run_down_s for s in shutdowns_of(trace, type_with())] == [
        pytest.approx(s.run_down_s) for s in shutdowns_of(moved, type_with())
    ]


@settings(max_examples=60, deadline=None)
@given(traces(), st.sampled_from([2, 4]))
def test_a_finer_record_moves_no_moment_by_a_step_and_no_extreme_at_all(trace: Trace, parts: int) -> None:
    fine = np.arange((trace.times.size - 1) * parts + 1) / parts
    finer = Trace(fine, {name: np.interp(fine, trace.times, values) for name, values in trace.channels.items()})
    before, after = told(trace), told(finer)
    assert (before.outcome, before.peak, before.peak_s) == (after.outcome, after.peak, after.peak_s)
    for name in MOMENTS:
        one, other = getattr(before, name), getattr(after, name)
        assert one is not None
        # No sample that is there already is passed over, so a finer record is never later.
        assert one - 1 < other <= one, name
    (coarse_end,), (fine_end,) = shutdowns_of(trace, type_with()), shutdowns_of(finer, type_with())
    assert fine_end.run_down_s == pytest.approx(coarse_end.run_down_s)


@settings(max_examples=60, deadline=None)
@given(traces())
def test_a_temperature_in_fahrenheit_tells_the_same_start(trace: Trace) -> None:
    document = document_with({**RULES, "hot_above": 760 * 1.8 + 32, "fall_by": 9.0})
    document["channels"][1]["unit"] = "degF"
    document["segmentation"]["light_off_rise"] = 90
    in_celsius = told(trace)
    in_fahrenheit = told(Trace(trace.times, {**trace.channels, "itt": trace.channels["itt"] * 1.8 + 32}), document)
    assert in_fahrenheit.outcome == in_celsius.outcome
    for name in MOMENTS:
        assert getattr(in_fahrenheit, name) == getattr(in_celsius, name)
    for name in TEMPERATURES:
        assert getattr(in_fahrenheit, name) == pytest.approx(getattr(in_celsius, name) * 1.8 + 32)
    # A slope is a difference by time, and converts as a difference.
    assert in_celsius.temperature_slope is not None
    assert in_fahrenheit.temperature_slope == pytest.approx(in_celsius.temperature_slope * 1.8)
