"""Stamps and clocks become seconds from the first."""

import pandas as pd
import pytest

from engines.recording_times import NOT_A_TIME, Kind, column_kind, kind_of, moment_of, seconds_of, ticks_of

MINUTE = 60_000_000


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("650", "number"),
        ("-1,5e-3", "number"),
        (".5", "number"),
        ("5.", "number"),
        ("1.234,5", "text"),
        ("", "text"),
        ("---", "text"),
        ("10:15", "clock"),
        ("1:02:03", "clock"),
        ("10:15:30,25", "clock"),
        ("100:15:30.25", "clock"),
        ("10:5", "text"),
        ("2024-05-01", "date"),
        ("2024.5.1", "date"),
        ("2024-05/01", "text"),
        ("01/02/2024", "text"),
        ("2024-05-01T10:15", "stamp"),
        ("2024/5/1  1:15:30.5", "stamp"),
        ("2024-05-01T10:15:30,5Z", "stamp"),
        ("2024-05-01 10:15:30 +02:00", "stamp"),
        ("2024-05-01T10:15:30-0230", "stamp"),
        ("20240501T101530.5+02", "stamp"),
        ("20240501T1015", "stamp"),
    ],
)
def test_a_cell_is_known_by_its_look(text: str, kind: Kind) -> None:
    assert kind_of(text) == kind


@pytest.mark.parametrize(
    ("cells", "kind"),
    [([], "text"), (["---", ""], "text"), (["---", "x", "1"], "number"), (["10:00", "10:01", "5"], "clock")],
)
def test_a_column_is_what_most_of_its_telling_cells_are(cells: list[str], kind: Kind) -> None:
    assert column_kind(cells) == kind


@pytest.mark.parametrize(
    ("texts", "kind", "ticks"),
    [
        (["00:01", "0:01:00.5", "00:01:00,25"], "clock", [MINUTE, MINUTE + 500_000, MINUTE + 250_000]),
        (["25:00:00"], "clock", [1500 * MINUTE]),
        (["", "late", "5", "10:xx"], "clock", [NOT_A_TIME] * 4),
        (["1970-01-01T00:01", "1970-01-01T01:01:00,5+01:00"], "stamp", [MINUTE, MINUTE + 500_000]),
        (["1970/01/01 00:01:00.000001", "19700101T0001Z"], "stamp", [MINUTE + 1, MINUTE]),
        (["", "---", "2024-13-01T00:00", "now", "2024", "-2024-05-01T00:00"], "stamp", [NOT_A_TIME] * 6),
    ],
)  # fmt: skip
def test_stamps_become_whole_microseconds(texts: list[str], kind: Kind, ticks: list[int]) -> None:
    assert ticks_of(pd.Series(texts, dtype=str), kind).tolist() == ticks


HOUR = 60 * MINUTE


@pytest.mark.parametrize(
    ("kind", "hours", "seconds"),
    [
        ("stamp", [5, 5.5], [0, 1800]),
        ("clock", [23.5, 0.5, 23, 0.25], [0, 3600, 84_600, 89_100]),  # past midnight twice
        ("clock", [11.75, 0], [0, -42_300]),  # less than half a day back
        ("clock", [12, 0], [0, -43_200]),  # exactly half a day back is no midnight
        ("clock", [12.25, 0], [0, 42_300]),
    ],
)
def test_a_clock_passes_midnight_when_it_jumps_back_more_than_half_a_day(
    kind: Kind, hours: list[float], seconds: list[float]
) -> None:
    ticks = pd.Series([h * HOUR for h in hours]).to_numpy("int64")
    assert seconds_of(ticks, kind).tolist() == seconds


def test_a_moment_keeps_its_zone() -> None:
    assert moment_of("2024-05-01T10:00:00,5+02:00").isoformat() == "2024-05-01T10:00:00.500000+02:00"
    assert moment_of("2024/5/1 10:00").isoformat() == "2024-05-01T10:00:00"
