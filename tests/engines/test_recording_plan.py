"""The time and the channels of a file are found in a fixed order of preference."""

from collections.abc import Mapping

import pytest

from engines.errors import TraceError
from engines.recording_columns import Columns
from engines.recording_plan import Plan, TimeColumn, Wish, plan_of
from engines.recording_times import Kind
from tests.engines.recorders import ENGINE_TYPE

KINDS: dict[str, Kind] = {"#": "number", "@": "stamp", ":": "clock", "/": "date", "?": "text"}


def plan(headers: str, columns: Mapping[str, str] | None = None) -> Plan:
    """Return the plan for headers that each end with a sign for what their cells look like."""
    names = headers.split()
    table = Columns(tuple(name[:-1] for name in names), tuple(KINDS[name[-1]] for name in names), {})
    return plan_of(table, Wish(ENGINE_TYPE.channels, columns or {}, {"time_s": "min"}))


@pytest.mark.parametrize(
    ("headers", "columns", "time"),
    [
        ("itt# at@ time_s# t#", {}, TimeColumn(2, "number", "min")),
        ("itt# at@ TIME-S: t#", {}, TimeColumn(2, "clock")),
        ("itt# t# clock: at@ later@", {}, TimeColumn(3, "stamp")),
        ("itt# t# clock: clock2: day/ day2/", {}, TimeColumn(2, "clock", date=4)),
        ("day/ itt# elapsed[s]#", {}, TimeColumn(2, "number")),
        ("itt# Seconds#", {}, TimeColumn(1, "number", "min")),
        ("itt# t# at@", {"time_s": "T"}, TimeColumn(1, "number", "min")),
        ("itt# t# clock: day/", {"time_s": "clock"}, TimeColumn(2, "clock", date=3)),
        ("x@ t#", {"itt": "x"}, TimeColumn(1, "number", "min")),
        ("itt# clock: day/", {"n1": "day"}, TimeColumn(1, "clock")),
    ],
)
def test_the_time_is_the_most_certain_column(headers: str, columns: dict[str, str], time: TimeColumn) -> None:
    assert plan(headers, columns).time == time


@pytest.mark.parametrize(
    ("headers", "columns", "used", "unused"),
    [
        ("t# n1# itt# x?", {}, {"itt": 2, "n1": 1}, ("x",)),
        ("t# n1# itt# x#", {"itt": "x"}, {"itt": 3, "n1": 1}, ("itt",)),
        ("t# n1#", {"itt": "n1"}, {"itt": 1}, ()),
        ("day/ clock: itt#", {}, {"itt": 2}, ()),
    ],
)
def test_a_column_serves_one_channel(
    headers: str, columns: dict[str, str], used: dict[str, int], unused: tuple[str, ...]
) -> None:
    found = plan(headers, columns)
    assert {column.channel.name: column.index for column in found.channels} == used
    assert found.unused == unused


@pytest.mark.parametrize("headers", ["itt# day/", "itt# when?", "itt# count#"])
def test_a_file_without_a_time_is_refused(headers: str) -> None:
    with pytest.raises(TraceError, match="No column tells the time: name the column time_s"):
        plan(headers)
