"""Reading and judging a large recording, against the bare reading of its file, in time and in memory."""

import subprocess
import sys
from pathlib import Path

import numpy as np
import pandas as pd
import pyarrow as pa
from pyarrow import csv

from engines.charts import EngineTypeData
from engines.documents import engine_type_read
from engines.recordings import recording_read
from inspections.exceedance import judge
from inspections.verdict import Verdict
from tests.benchmarks.timing import Ratio, medians
from tests.layers import ROOT

ROWS, COLUMNS = 1_000_000, 12
ROUNDS = 5


def large_type() -> EngineTypeData:
    """Return a type of eleven channels, with a limit on each that no sample passes."""
    names = [f"channel_{k}" for k in range(1, COLUMNS)]
    action = {"summary": "Find the cause", "before_next_flight": False}
    areas = [{"name": "A", "allowed": [{"above": 900, "seconds": 60}], "action": action}]
    return engine_type_read(
        {
            "name": "Benchmark",
            "channels": [{"name": name, "unit": "percent"} for name in names],
            "charts": [{"name": name, "channel": name, "limit": 900, "areas": areas} for name in names],
        }
    )


def large_file(folder: Path) -> Path:
    """Return a recording of a million rows: the time at 10 Hz, and eleven noisy channels with one decimal."""
    random = np.random.default_rng(1)
    columns = {"time_s": np.round(np.arange(ROWS) / 10.0, 1)}
    for k in range(1, COLUMNS):
        columns[f"channel_{k}"] = np.round(random.normal(50.0 * k, 8.0, ROWS), 1)
    path = folder / "large.csv"
    csv.write_csv(pa.table(columns), path)
    return path


def read_and_judge(path: Path, engine_type: EngineTypeData) -> Verdict:
    """Return the verdict on a file, as the command line gets it."""
    return judge(recording_read(path, engine_type), engine_type)


def growth(path: Path) -> tuple[float, float]:
    """Return by how much the peak memory of a fresh process grows while it reads and judges, and the arrays. [MB]"""
    command = [sys.executable, "-m", "tests.benchmarks.memory", str(path)]
    printed = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True).stdout.split()
    return float(printed[0]), float(printed[1])


def ratios(folder: Path) -> list[Ratio]:
    """Return the cost of reading and judging over that of the quickest bare reading, and the memory over the arrays."""
    path, engine_type = large_file(folder), large_type()
    verdict = read_and_judge(path, engine_type)
    assert (verdict.samples, verdict.excursions, verdict.not_judged) == (ROWS, (), ())
    judged, plain, arrow = medians(
        lambda: read_and_judge(path, engine_type),
        lambda: pd.read_csv(path),
        lambda: pd.read_csv(path, engine="pyarrow"),
        rounds=ROUNDS,
    )
    bare = min(plain, arrow)
    return [
        Ratio(f"reading and judging 1,000,000 x {COLUMNS} CSV : pandas.read_csv", judged, bare, "at most 1.3"),
        Ratio("growth of memory at its peak : the parsed arrays", *growth(path), "at most 3", "MB"),
    ]
