"""Samples of one channel, worked by hand."""

import numpy as np
import pytest

from engines.start_rules import Burst, Signal
from engines.start_signals import Samples, bursts, samples_of, shows, slopes
from engines.traces import Trace


def samples(*values: float, step: float = 1.0) -> Samples:
    return Samples(np.arange(len(values)) * step, np.array(values, dtype=float))


def test_a_value_is_read_along_the_line_but_not_across_a_gap() -> None:
    found = samples(0, 10, 30)
    assert found.at(1, 2) == 10
    assert found.at(1.25, 2) == 15
    assert found.at(1.25, 0.5) is None
    assert found.at(-1, 2) is None
    assert found.at(2.5, 2) is None


def test_the_longest_step_counts_the_ends() -> None:
    assert samples(0, 0, 0).longest_step(0, 5) == 3


def test_a_channel_without_a_valid_sample_has_none() -> None:
    trace = Trace(np.arange(3.0), {"a": np.array([np.nan] * 3), "b": np.array([1, np.nan, 3])})
    assert samples_of(trace, "a") is None
    assert samples_of(trace, "c") is None
    found = samples_of(trace, "b")
    assert found is not None
    assert (found.times.tolist(), found.values.tolist()) == ([0, 2], [1, 3])


def test_a_signal_shows_above_a_value_or_after_a_fall() -> None:
    assert shows(samples(1, 2, 3), Signal("x", above=2)).tolist() == [False, False, True]
    assert shows(samples(5, 6, 4, 3, 5), Signal("x", drop=2)).tolist() == [False, False, True, True, False]
    assert samples(1, 1).first_where(np.array([False, False])) is None


def test_slopes_over_a_length_of_time() -> None:
    assert slopes(samples(0, 1, 4, 9), 2, 1.5).tolist() == [2, 4]
    assert slopes(samples(0, 4), 0.5, 1.5).tolist() == [4]
    assert slopes(samples(1), 2, 1.5).size == 0
    gapped = Samples(np.array([0.0, 1, 2, 6, 7, 8]), np.array([0.0, 1, 2, 6, 7, 8]))
    assert slopes(gapped, 2, 1.5).tolist() == [1, 1]  # none across the gap


@pytest.mark.parametrize(
    ("values", "found"),
    [
        ((90, 90, 70, 90, 90), [(2, 2)]),
        ((90, 70, 70, 90, 90), [(1, 2)]),
        ((90, 70, 70, 70, 70, 70, 90), []),  # from either end the other lies more than 2 s away, or is no burst
        ((90, 80, 90), []),  # fell by 10 only
        ((90, 70, 90, 70, 90), [(1, 1), (3, 3)]),
        ((70, 90, 90), []),  # nothing before it
    ],
)
def test_short_falls_are_bursts(values: tuple[float, ...], found: list[tuple[float, float]]) -> None:
    assert bursts(samples(*values), Burst(Signal("fuel", drop=15), most_s=2)) == found


def test_a_channel_may_tell_the_limiting_itself() -> None:
    rule = Burst(Signal("bypass", above=0.5), most_s=1)
    assert bursts(samples(0, 1, 0, 1, 1, 0, 1, 1, 1, 0), rule) == [(1, 1), (3, 4)]
