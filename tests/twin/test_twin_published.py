"""The twin on records whose time above a level is known exactly.

Source: piecewise_linear_records.json of the project's published checks: own records, straight between samples,
times as exact fractions, confirmed there by integration over four million points.
"""

from fractions import Fraction

import pytest

from tests.twin import judge
from tests.twin.hand import chart, engine_type

F = Fraction
Level = tuple[str, list[str]]

RECORDS: dict[str, tuple[str, str, list[Level]]] = {
    "trapezoid": (
        "0 10 14 17 25 40",
        "600 600 820 820 600 600",
        [("700", ["105/11"]), ("750", ["75/11"]), ("800", ["45/11"])],
    ),
    "two_peaks": (
        "0 5 9 12 20 24 30 36",
        "650 650 790 700 700 840 660 650",
        [("700", ["39/7", "26/3"]), ("750", ["52/21", "39/7"]), ("800", ["52/21"])],
    ),
    "touches_limit": (
        "0 5 10 15 20",
        "600 800 600 800 600",
        [("700", ["5", "5"]), ("750", ["5/2", "5/2"]), ("800", [])],
    ),
    "plateau_exactly_on_limit": ("0 5 15 20", "600 800 800 600", [("700", ["15"]), ("750", ["25/2"]), ("800", [])]),
    "irregular_sampling": (
        "0 0.5 1.75 2 4.25 9",
        "640 702.5 815 790 701 655",
        [("700", ["17817/4600"]), ("750", ["6355/3204"]), ("800", ["19/60"])],
    ),
    "starts_above": ("0 6 10", "810 760 600", [("700", ["15/2"]), ("750", ["25/4"]), ("800", ["6/5"])]),
    "ends_above": ("0 4 10", "600 760 810", [("700", ["15/2"]), ("750", ["25/4"]), ("800", ["6/5"])]),
    "torque_pct": (
        "0 2 3 6 8 9",
        "96 104 110 110 101 98",
        [("100", ["22/3"]), ("102", ["113/18"]), ("105", ["89/18"])],
    ),
}
CASES = [(name, level, events) for name, (_, _, levels) in RECORDS.items() for level, events in levels]


@pytest.mark.parametrize(("name", "level", "events"), CASES)
def test_time_above_a_level(name: str, level: str, events: list[str]) -> None:
    times, values, _ = RECORDS[name]
    one = chart([(level, 0)], limit=level)
    # The records are straight over their longest step, 15 s.
    found = judge(engine_type(one) | {"max_gap_s": 15}, times.split(), {"itt": values.split()})["excursions"]
    assert [excursion["seconds_above"] for excursion in found] == [F(event) for event in events]


@pytest.mark.parametrize("name", RECORDS)
def test_levels_of_one_run(name: str) -> None:
    times, values, levels = RECORDS[name]
    one = chart([(level, 0) for level, _ in levels], limit=levels[0][0], accumulate="run")
    (found,) = judge(engine_type(one) | {"max_gap_s": 15}, times.split(), {"itt": values.split()})["excursions"]
    totals = [sum(map(F, events)) for _, events in levels]
    assert [level["seconds"] for level in found["levels"]] == totals
