"""Time above a level in real records.

Sources: hourly temperatures of Seattle in 2010 (NOAA, public domain, as shipped in the package vega_datasets 0.9.0)
and the gas turbine data set of UCI, year 2011 (DOI 10.24432/C5WC95; its rows have no times and are taken as an hour
apart, an arithmetic figure); level figures of both from the project's published checks, by a second formula there.
"""

from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest
from vega_datasets import local_data

from inspections.excursions import Bound, stays_of
from inspections.paths import path_of
from inspections.verdict import Excursion
from tests.checks.judging import excursions_above

HOUR = 3600.0


def hours(found: tuple[Excursion, ...]) -> list[float]:
    return [(one.seconds_above or 0.0) / HOUR for one in found]


@pytest.mark.parametrize(
    ("level", "total", "events", "longest"),
    [
        (60, 1948.358251, 154, 18.922222), (65, 1024.551986, 124, 12.466667), (70, 444.092309, 76, 7.92246),
        (72, 265.718181, 54, 6.368421), (74, 120.940418, 37, 4.375), (75, 46.584282, 23, 2.816667),
    ],
)  # fmt: skip
def test_hours_above_a_temperature_in_seattle(level: float, total: float, events: int, longest: float) -> None:
    table = local_data.seattle_temps()
    elapsed = (table["date"] - table["date"].iloc[0]).dt.total_seconds()
    found = hours(excursions_above(elapsed, table["temp"], level))
    assert (len(table), len(found)) == (8759, events)
    assert sum(found) == pytest.approx(total, abs=1e-5)
    assert max(found) == pytest.approx(longest, abs=1e-6)


@pytest.mark.parametrize(
    ("level", "total", "events", "longest"),
    [(1085, 4806.064739, 524, 232.147414), (1090, 3286.831055, 413, 215.184784)],
)
def test_hours_above_a_turbine_inlet_temperature(
    shared_checks: Callable[[str], Path], level: float, total: float, events: int, longest: float
) -> None:
    table = pd.read_csv(shared_checks("datasets/gas_turbine_2011.csv.gz"), header=None)
    assert len(table) == 7411
    times, values = table.index.to_numpy() * HOUR, table.iloc[:, 5].to_numpy()
    # The source counts a touch of the level from above as an end; by the contract two that meet there are one.
    path = path_of(times, values, max_gap_s=1e9)
    assert path is not None
    stays = [(stay.end_s - stay.start_s) / HOUR for stay in stays_of(path, Bound(level, is_closed=False))]
    assert len(stays) == events
    assert max(stays) == pytest.approx(longest, abs=1e-5)
    assert sum(hours(excursions_above(times, values, level))) == pytest.approx(total, abs=1e-5)
