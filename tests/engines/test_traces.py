"""Traces in memory: time never runs backwards."""

import numpy as np
import pytest

from engines.charts import Channel, EngineTypeData
from engines.errors import TraceError
from engines.traces import BLOCK, Trace, largest_step


def test_the_longest_step_is_found_across_blocks() -> None:
    times = np.arange(2 * BLOCK + 5, dtype=float)
    times[BLOCK + 1 :] += 3.5
    assert largest_step(times) == 4.5
    assert Trace(times, {}).step_s == 4.5


@pytest.mark.parametrize("times", [[], [0.0], [0.0, 0.0]])
def test_no_time_passes_in_fewer_than_two_instants(times: list[float]) -> None:
    assert largest_step(np.array(times)) == 0.0


@pytest.mark.parametrize("place", [1, BLOCK, 2 * BLOCK])
def test_time_that_runs_backwards_is_refused_with_its_sample(place: int) -> None:
    times = np.arange(2 * BLOCK + 5, dtype=float)
    times[place] = times[place - 1] - 0.25
    with pytest.raises(TraceError, match=f"backwards at sample {place + 1}:"):
        Trace(times, {})


def test_a_type_finds_its_channels_by_name() -> None:
    data = EngineTypeData("Plain", (Channel("itt", "ITT", "degC"),), ())
    assert data.channel("itt").label == "ITT"
    with pytest.raises(KeyError):
        data.channel("n1")
