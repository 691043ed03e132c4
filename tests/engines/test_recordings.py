"""Recorded files of every shape read to the same numbers, and bad ones are refused in one sentence."""

import gzip
import io
import math
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import numpy as np
import pytest
import vega_datasets

from engines.charts import Channel, EngineTypeData
from engines.errors import TraceError
from engines.recordings import columns_propose, recording_read
from engines.traces import ColumnMatch, Ignored
from tests.engines.recorders import ENGINE_TYPE, file_of, read

NAN = math.nan
PLAIN = "time_s,itt,n1\n0,650.5,88\n0.5,651.25,88.5\n"
PREAMBLE = 'Engine;RS-650 "left"\n\nSerial: 1234, 5\n2024-05-01\n;;;\nN1;101,5\n'


@pytest.mark.parametrize(
    "text",
    [
        PLAIN,
        PLAIN.replace(",", "\t"),
        PLAIN.replace(",", "|"),
        PLAIN.replace(",", "   "),
        PLAIN.replace(",", " , "),
        PLAIN.replace("\n", "\r\n"),
        PLAIN.replace("\n", "\r"),
        PLAIN.replace("\n", "\n\n"),
        PLAIN.replace("\n", ",\n"),
        PLAIN.rstrip("\n"),
        PLAIN.replace(",", ";").replace(".", ","),
        PLAIN.replace(",", "\t").replace(".", ","),
        PREAMBLE + PLAIN.replace(",", ";").replace(".", ","),
        "note\n" * 200 + PLAIN,
        "note,1\n" * 200 + PLAIN,
        PLAIN.replace("\n", "\ns,degC,%\n", 1),
        PLAIN.replace("\n", "\n[s],[°C],[pct]\n", 1),
        "Ch 1,Ch 2,Ch 3\n" + PLAIN,
        'time_s, "itt", "n1"\n0, "650.5", "88"\n0.5, "651.25", "88.5"\n',
        "Time [s],ITT (°C),N1 [%]\n0,650.5,88\n0.5,651.25,88.5\n",
        "elapsed,Interstage Turbine Temperature,GAS-GENERATOR  speed\n0,650.5,88\n0.5,651.25,88.5\n",
        "\ufeff" + PLAIN,
        ("\ufeff" + PLAIN).encode("utf-16-le"),
        PLAIN.encode("utf-16-be"),
        PLAIN.replace("itt", "itt (°C)").encode("latin-1"),
        gzip.compress(PLAIN.encode(), mtime=0),
        "t;itt;n1\n1000;650,5;88\n1000,5;651,25;88,5\n",
        "Time,itt,n1\n23:59:59.75,650.5,88\n00:00:00.25,651.25,88.5\n",
        "Date,Time,itt,n1\n2024-05-01,23:59:59.75,650.5,88\n2024-05-02,00:00:00.25,651.25,88.5\n",
        "when,itt,n1\n2024-05-01T10:00:00Z,650.5,88\n2024-05-01 12:00:00.5+02:00,651.25,88.5\n",
        "when;itt;n1\n2024/05/01 10:00:00,1;650,5;88\n2024/05/01 10:00:00,6;651,25;88,5\n",
    ],
)
def test_every_layout_reads_to_the_same_numbers(text: str | bytes) -> None:
    trace = read(text).trace
    assert trace.times.tolist() == [0.0, 0.5]
    assert {name: values.tolist() for name, values in trace.channels.items()} == {
        "itt": [650.5, 651.25],
        "n1": [88.0, 88.5],
    }


def test_words_are_counted_and_blanks_and_infinities_are_not() -> None:
    recording = read(
        "time_s,itt,n1\n0,---,\n1, N/A ,60.1\n2,NaN,  \n,650,61\nlate,651,62\n5,OVR,inf\n6,-1e999,Infinity\n7,652,64\n"
    )
    assert recording.trace.times.tolist() == [0, 1, 2, 5, 6, 7]
    np.testing.assert_array_equal(recording.trace.channels["itt"], [NAN, NAN, NAN, NAN, NAN, 652])
    np.testing.assert_array_equal(recording.trace.channels["n1"], [NAN, 60.1, NAN, NAN, NAN, 64])
    assert recording.ignored == (Ignored("time_s", 2, "late"), Ignored("itt", 4, "---"))


def test_a_number_with_both_marks_is_a_word() -> None:
    recording = read("time_s;itt\n0;650,5\n1;1.234,5\n2;651.5\n3;652,5\n")
    np.testing.assert_array_equal(recording.trace.channels["itt"], [650.5, NAN, NAN, 652.5])
    assert recording.ignored == (Ignored("itt", 2, "1.234,5"),)


def test_the_decimal_mark_may_show_late() -> None:
    rows = [f"{k};700" for k in range(120)]
    recording = read("\n".join(["time_s;itt", *rows, "120;700,5", "121;1.234,5", "122;701.5"]))
    np.testing.assert_array_equal(recording.trace.channels["itt"][119:], [700, 700.5, NAN, 701.5])
    assert recording.ignored == (Ignored("itt", 1, "1.234,5"),)


def test_what_was_used_and_what_was_not_is_listed() -> None:
    recording = read("when,ITT [°F],Oil Press,spare,,n1\n10:00,212,689.4757293168361,a,,50\n10:01,32,1,b,c,51\n",
                     units={"oil_press": "kPa", "itt": "degC"})  # fmt: skip
    assert recording.matches == (
        ColumnMatch("ITT [°F]", "itt", "degF"),
        ColumnMatch("n1", "n1", "percent"),
        ColumnMatch("Oil Press", "oil_press", "kPa"),
    )
    assert recording.unused == ("spare", "column 5")
    np.testing.assert_allclose(recording.trace.channels["itt"], [100, 0], atol=1e-9)
    np.testing.assert_allclose(recording.trace.channels["oil_press"], [100, 0.1450377], rtol=1e-6)
    assert recording.trace.times.tolist() == [0, 60]


def test_columns_named_by_hand_go_before_names_that_fit() -> None:
    recording = read("a,time_s,itt,T5 deg C\n0,5,1,650\n1,5,2,651\n", columns={"time_s": "A", "itt": "T5 deg C"})
    assert recording.trace.times.tolist() == [0, 1]
    assert recording.trace.channels["itt"].tolist() == [650, 651]
    assert recording.unused == ("time_s", "itt")


@pytest.mark.parametrize(
    ("cells", "started_at"),
    [
        ("x\n2024-05-01 10:00:00.5\n2024-05-01T10:00:01", datetime(2024, 5, 1, 10, 0, 0, 500_000)),  # noqa: DTZ001
        ("2024-05-01T10:00Z\n", datetime(2024, 5, 1, 10, tzinfo=UTC)),
        ("20240501T100000+0230\n", datetime(2024, 5, 1, 10, tzinfo=timezone(timedelta(minutes=150)))),
        ("10:00:00\n", None),
        ("1714557600.5\n", None),
    ],
)
def test_the_start_is_kept_where_the_stamps_carry_a_date(cells: str, started_at: datetime | None) -> None:
    rows = "".join(f"{cell},1\n" for cell in cells.split("\n") if cell)
    assert read(f"time_s,itt\n{rows}").started_at == started_at


def test_tenths_stay_tenths_after_a_long_time() -> None:
    """Sixty seconds read from stamps of a tenth are sixty seconds, ten days into a run and past nine midnights."""
    day = [f"{h:02}:{m:02}:00.{f}" for h in range(24) for m in range(60) for f in (0, 3)]
    times = read("clock,itt\n" + "".join(f"{clock},1\n" for clock in day * 10)).trace.times
    np.testing.assert_allclose(np.diff(times[::2]), 60, rtol=0, atol=1e-6)
    assert times[-1] == pytest.approx(864_000 - 59.7, abs=1e-6)


def test_rows_with_equal_times_keep_their_order() -> None:
    recording = read("time_s,itt\n0,1\n1,2\n1,3\n1,2.5\n2,4\n")
    assert recording.trace.channels["itt"].tolist() == [1, 2, 3, 2.5, 4]


@pytest.mark.parametrize(
    ("text", "given", "sentence"),
    [
        ("", {}, "The file is empty"),
        (" \n\n", {}, "The file is empty"),
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", {}, "neither a text file nor a Parquet file"),
        (b"PAR1 and then nothing", {}, "The Parquet file is damaged"),
        (gzip.compress(PLAIN.encode(), mtime=0)[:-9], {}, "can't be read: it is damaged"),
        ("only words\nand words\n", {}, "The file holds no table"),
        ("words\n", {}, "The file holds no table"),
        ("1,2,3\n4,5,6\n", {}, "No header stands above the numbers"),
        ("time_s,itt\n", {}, "No rows of numbers stand below the header in line 1"),
        ("x\n\ntime_s,itt\ns,degC\n\n", {}, "No rows of numbers stand below the header in line 3"),
        ("count,itt\n1,650\n", {}, "No column tells the time: .* the file has “count”, “itt”"),
        ("time_s,itt\n---,650\n", {}, "Column “time_s” does not tell the time"),
        ("time [psi],itt\n0,650\n", {}, "Column “time .psi.” is no time: psi can't be turned into s"),
        ("time_s,x\n0,650\n", {}, r"No column fits a channel .*\(itt, n1, oil_press\).*“time_s”, “x”"),
        ("time_s,itt\n0,650\n", {"columns": {"itt": "T5"}}, "no column “T5” for itt; the file has “time_s”, “itt”"),
        ("time_s,itt\n0,650\n", {"columns": {"egt": "itt"}}, "egt is not a channel of this engine type; it has itt"),
        ("time_s,itt\n0,650\n", {"units": {"itt": "warmth"}}, "“warmth”, the unit of column “itt”, is not known"),
        ("time_s,itt [bar]\n0,650\n", {}, "Column “itt .bar.” can't be read as itt: bar can't be turned into degC"),
        ("time_s,itt,ITT,Itt\n0,1,2,3\n", {"columns": {"n1": "itt"}}, "Columns 3 and 4 both fit itt"),
        ("time_s,ITT,Itt\n0,1,2\n", {}, "Columns 2 and 3 both fit itt"),
        ("time_s,T5,x,T5\n0,1,2,3\n", {"columns": {"itt": "T5"}}, "Columns 2 and 4 both fit itt"),
        ("time_s,itt\n0,0,650,5\n0,5,650,7\n", {}, "Line 2 has 4 cells, but the header in line 1 names 2 columns; dec"),
        ("time_s  itt\n0  1\n\n1 2 3\n", {}, "Line 4 has 3 cells, but the header in line 1 names 2 columns[.]"),
        ("time_s,itt\n0,1\n1,2\n2,3,,,4\n", {}, "Line 4 has 5 cells"),
        ("time_s,itt\n0,1\n1e300,1\n", {}, "column “time_s” counts 1e[+]300 s, over a year"),
        ('time_s,itt\n0,1\n1,"2\n2,3\n', {}, "The quoted cell that begins in line 3 never ends"),
    ],
)  # fmt: skip
def test_a_file_that_cannot_be_used_is_refused_in_words(
    text: str | bytes, given: dict[str, object], sentence: str
) -> None:
    with pytest.raises(TraceError, match=sentence):
        read(text, **given)


@pytest.mark.parametrize(
    ("text", "place", "cells"),
    [
        ("time_s,itt\n0,1\n2,1\n1,1\n", "line 4, column “time_s”", "1 after 2"),
        ("x\n\nt;itt\ns;C\n\n0;1\n---;1\n;1\n2,5;1\n\n\n1,5;1\n", "line 12, column “t”", "1,5 after 2,5"),
        ('t,itt\n0,"two\nlines"\n2,1\n1,1\n', "line 5, column “t”", "1 after 2"),
        ("clock,itt\n10:00,1\n09:59,1\n", "line 3, column “clock”", "09:59 after 10:00"),
        (
            "at,itt\n2024-05-01T10:00Z,1\n2024-05-01T11:59+02:00,1\n",
            "line 3, column “at”",
            r"T11:59.02:00 after 2024\S+",
        ),
        ("t\titt\n0\t1\n\t\n1\t1\n0.5\t1\n", "line 5, column “t”", "0.5 after 1"),
    ],
)
def test_time_that_runs_backwards_is_refused_with_its_line(text: str, place: str, cells: str) -> None:
    with pytest.raises(TraceError, match=f"Time runs backwards in {place}: .*{cells}; put the rows in the order"):
        read(text)


def test_a_column_without_any_time_is_refused_with_its_first_cell() -> None:
    with pytest.raises(TraceError, match=r"No row has a time in column “at” \(the first holds “2024-13-01 10:00”\)"):
        read("at,itt\n2024-13-01 10:00,1\nlate,2\n")


class Pipe(io.BytesIO):
    """A file that can be read once and not wound back."""

    def seekable(self) -> bool:
        return False

    def seek(self, offset: int, whence: int = 0) -> int:
        raise OSError(offset, whence)


def test_a_file_may_be_a_path_a_pipe_or_half_read(tmp_path: Path) -> None:
    path = tmp_path / "run.csv"
    path.write_text(PLAIN)
    half_read = file_of(PLAIN)
    half_read.read(20)
    for source in (path, str(path), Pipe(PLAIN.encode()), half_read):
        assert recording_read(source, ENGINE_TYPE).trace.times.tolist() == [0, 0.5]
    assert not half_read.closed


def test_a_path_that_cannot_be_opened_is_named(tmp_path: Path) -> None:
    with pytest.raises(TraceError, match="absent.csv can't be read: no such file or directory"):
        recording_read(tmp_path / "absent.csv", ENGINE_TYPE)


def test_a_proposal_leaves_out_what_is_in_doubt() -> None:
    text = "Time,ITT [°F],n1,N1,T2,spare\n0,1,2,3,4,5\n"
    proposal = columns_propose(file_of(text), ENGINE_TYPE, columns={"oil_press": "T2", "n1": "gone"})
    assert proposal.headers == ("Time", "ITT [°F]", "n1", "N1", "T2", "spare")
    assert proposal.columns == {"time_s": "Time", "itt": "ITT [°F]", "n1": "n1", "oil_press": "T2"}
    assert proposal.units == {"time_s": "s", "itt": "degF", "n1": "percent", "oil_press": "psi"}


def test_a_proposal_needs_neither_a_time_nor_a_channel() -> None:
    assert columns_propose(file_of("a,itt,ITT,Itt\n1,2,3,4\n"), ENGINE_TYPE).columns == {"itt": "itt"}
    assert columns_propose(file_of("clock,Itt,ITT\n10:00,2,3\n"), ENGINE_TYPE).units == {"time_s": ""}


def test_a_real_year_of_hourly_temperatures_is_read() -> None:
    """Hourly temperatures of Seattle in 2010: 8759 rows, one step of two hours where a clock was set forward.

    Source: NOAA, public domain, as shipped in vega_datasets 0.9.0, seattle-temps.csv.
    """
    path = Path(vega_datasets.__file__).parent / "_data" / "seattle-temps.csv"
    recording = recording_read(path, EngineTypeData("Air", (Channel("temp", "Temperature", "degF"),), ()))
    steps, counts = np.unique(np.diff(recording.trace.times), return_counts=True)
    assert dict(zip(steps.tolist(), counts.tolist(), strict=True)) == {3600.0: 8757, 7200.0: 1}
    assert recording.trace.channels["temp"][[0, 1, 2, -1]].tolist() == [39.4, 39.2, 39.0, 39.6]
    assert (recording.started_at, recording.ignored) == (datetime(2010, 1, 1), ())  # noqa: DTZ001
