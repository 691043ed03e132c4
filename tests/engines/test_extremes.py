"""Extremes of channels in regimes, by which replay leaves out what cannot be affected."""

import numpy as np

from engines.charts import Segmentation
from engines.extremes import Extreme, extremes_of
from engines.traces import Trace

SPEEDS = Segmentation("n1", "itt", turning=5, idle=58, stopping_below=45, light_off_rise=50)
NAN = float("nan")


def test_each_regime_reaches_to_the_nearest_sample_on_either_side() -> None:
    n1 = np.array([0.0, 10, 60, 60, 60, 30, 0])
    itt = np.array([20.0, NAN, 600, NAN, NAN, NAN, 90])
    found = extremes_of(Trace(np.arange(7.0), {"n1": n1, "itt": itt}), SPEEDS)
    assert [e for e in found if e.channel == "itt"] == [
        Extreme("itt", "", 20, 600),
        Extreme("itt", "starting", 20, 600),  # rows 1 to 2, with 20 before and 90 after the edges
        Extreme("itt", "running", 20, 600),  # rows 2 to 5: the sample before row 2 is 20, the one after is 90
        Extreme("itt", "stopping", 90, 600),  # rows 5 to 6: the sample before row 5 is 600, however far
    ]


def test_a_regime_that_comes_twice_has_one_row() -> None:
    n1 = np.array([0.0, 60, 60, 0, 0, 60, 60, 0])
    found = extremes_of(Trace(np.arange(8.0), {"n1": n1, "x": np.arange(8.0)}), SPEEDS)
    assert Extreme("x", "running", 0, 7) in found
    assert len({(e.channel, e.regime) for e in found}) == len(found)


def test_without_the_speed_only_the_whole_trace_counts_and_an_empty_channel_is_left_out() -> None:
    trace = Trace(np.arange(2.0), {"itt": np.array([NAN, 3.0]), "np": np.array([NAN, NAN])})
    assert extremes_of(trace, SPEEDS) == [Extreme("itt", "", 3.0, 3.0)]
