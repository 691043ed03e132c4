"""Judging a clean channel, against the finding of its maximum and against the usual way with a data frame."""

import numpy as np
import pandas as pd

from engines.documents import engine_type_read
from engines.traces import Floats, Trace
from inspections.exceedance import judge
from tests.benchmarks.timing import Ratio, medians

SAMPLES = 1_000_000
LIMIT = 700.0
TYPE = engine_type_read(
    {
        "name": "Benchmark",
        "channels": [{"name": "itt", "unit": "degC"}],
        "charts": [
            {
                "name": "ITT",
                "channel": "itt",
                "limit": LIMIT,
                "method": "time_above",
                "areas": [
                    {
                        "name": "A",
                        "allowed": [{"above": LIMIT, "seconds": 60}, {"above": 720, "seconds": 0}],
                        "action": {"summary": "Find the cause", "before_next_flight": False},
                    }
                ],
            }
        ],
    }
)


def clean_channel() -> tuple[Floats, Floats]:
    """Return times at 10 Hz and a temperature that never passes the limit. [s, °C]"""
    random = np.random.default_rng(1)
    return np.arange(SAMPLES) / 10.0, np.minimum(random.normal(640.0, 12.0, SAMPLES), LIMIT)


def run_lengths(frame: pd.DataFrame) -> pd.DataFrame:
    """Return the stretches above the limit as data frames usually find them: shift, running sum, group."""
    marked = frame.assign(above=frame["value"] > LIMIT)
    marked["stretch"] = (marked["above"] != marked["above"].shift()).cumsum()
    stretches = marked.groupby("stretch").agg(
        start=("time", "first"), end=("time", "last"), peak=("value", "max"), above=("above", "first")
    )
    return stretches[stretches["above"]]


def ratios() -> list[Ratio]:
    """Return the cost of judging over that of the maximum, and the data frame's cost over that of judging."""
    times, values = clean_channel()
    trace = Trace(times, {"itt": values})
    frame = pd.DataFrame({"time": times, "value": values})
    highest, judged, checked, framed = medians(
        lambda: np.max(values),
        lambda: judge(trace, TYPE),
        lambda: judge(Trace(times, {"itt": values}), TYPE),
        lambda: run_lengths(frame),
        rounds=15,
    )
    return [
        Ratio("judging 1,000,000 clean samples : numpy.max", judged, highest, "at most 8"),
        Ratio("checking the clock, then judging : numpy.max", checked, highest, "at most 8"),
        Ratio("run lengths by data frame : judging", framed, judged, "at least 50"),
    ]
