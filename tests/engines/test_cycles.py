"""Power cycles and flight from a trace."""

import numpy as np
import pytest

from engines.charts import Segmentation
from engines.counters import CycleRule, ExcursionRule, RangeRule
from engines.cycles import airborne_of, cycles_by, partial_cycles_of, range_cycles, rises
from engines.traces import Trace

NAN = float("nan")
PARTED = Segmentation("n1", "itt", turning=5, idle=58, stopping_below=45, light_off_rise=50)
POWER = ExcursionRule("torque", low=30, high=70)
FLIGHT = ExcursionRule("airspeed", low=30, high=50)


@pytest.mark.parametrize(
    ("values", "count"),
    [
        ([], 0),
        ([NAN], 0),
        ([0, 69, 0], 0),  # never up at the upper level
        ([0, 70, 0], 1),  # at the level is up
        ([80], 1),  # begins up there
        ([50, 80], 1),  # begins between the levels
        ([0, 70, 31, 70], 1),  # never down again: 31 is above the lower level
        ([0, 70, 30, 70], 2),  # at the lower level is down
        ([0, 70, NAN, 30, NAN, 70, 0, 71], 3),
        ([0, 69.9, 0, 70.1, 50, 29.9, 69.9, 70], 2),
    ],
)
def test_rises_are_counted_with_hysteresis(values: list[float], count: int) -> None:
    assert rises(values, 30, 70) == count


def test_levels_must_lie_apart() -> None:
    with pytest.raises(ValueError, match="below the upper"):
        rises([1.0], 70, 70)


@pytest.mark.parametrize(("rule", "count"), [(POWER, 2), (RangeRule("torque", 60), 2), (RangeRule("torque", 95), 0)])
def test_a_stretch_is_counted_by_the_rule_of_the_type(rule: CycleRule, count: int) -> None:
    """Ranges of 0 90 20 90 0: 70 once, 90 in two halves."""
    assert cycles_by(rule, np.array([0.0, 90.0, NAN, 20.0, 90.0, 0.0])) == count


def test_nothing_has_no_ranges() -> None:
    assert range_cycles([]) == {}
    assert cycles_by(RangeRule("torque", 1), np.array([NAN])) == 0


def trace(torque: list[float], **more: list[float]) -> Trace:
    """Return a start, twenty seconds for each torque, and a stop."""
    n1 = [0.0, 10.0, 40.0, 60.0, *[90.0] * len(torque), 40.0, 0.0]
    itt = [20.0, 20.0, 400.0, 600.0, *[640.0] * len(torque), 300.0, 200.0]
    power = [0.0] * 4 + torque + [0.0] * 2
    channels = {"n1": np.array(n1), "itt": np.array(itt), "torque": np.array(power)}
    return Trace(np.arange(len(n1)) * 20.0, channels | {name: np.array(row) for name, row in more.items()})


@pytest.mark.parametrize(
    ("torque", "partial"),
    [([0.0, 0.0], 0), ([80.0, 80.0], 0), ([80.0, 20.0, 80.0], 1), ([80.0, 20.0, 80.0, 20.0, 80.0, 20.0], 2)],
)
def test_power_beyond_the_first_of_a_start_is_a_partial_cycle(torque: list[float], partial: int) -> None:
    assert partial_cycles_of(trace(torque), PARTED, POWER) == partial


def test_each_start_has_its_own_full_cycle() -> None:
    once, twice = trace([80.0, 20.0]), trace([80.0, 20.0, 80.0])
    both = Trace(
        np.concatenate([once.times, once.times[-1] + 20.0 + twice.times]),
        {name: np.concatenate([once.channels[name], twice.channels[name]]) for name in once.channels},
    )
    assert partial_cycles_of(both, PARTED, POWER) == 1


def test_what_no_rule_or_channel_tells_is_not_known() -> None:
    run = trace([80.0])
    assert partial_cycles_of(run, PARTED, None) is None
    assert partial_cycles_of(run, None, POWER) is None
    assert partial_cycles_of(run, PARTED, ExcursionRule("power", 1, 2)) is None
    assert airborne_of(run, None) is None
    assert airborne_of(run, FLIGHT) is None


@pytest.mark.parametrize(
    ("speeds", "shown"),
    [
        ([0, 0, 60, 60, 60, 0, 0], (60, 1)),  # off at 40 s, down at 100 s
        ([0, 60, 40, 60, 30, 55, NAN], (60 + 20, 2)),  # 40 is still flying; the last flight ends with the trace
        ([0, 49, 0, 0, 0, 0, 0], (0, 0)),
    ],
)
def test_flight_is_told_between_leaving_and_touching_the_surface(speeds: list[float], shown: tuple[int, int]) -> None:
    assert airborne_of(trace([80.0], airspeed=speeds), FLIGHT) == shown
