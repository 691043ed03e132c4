"""Cells become numbers however many threads read them."""

import math
import os
from typing import Any

import numpy as np
import pandas as pd
import pytest

from engines import recording_cells
from engines.errors import TraceError
from engines.recording_cells import Words, numbers_of
from tests.engines.recorders import read

NAN = math.nan


@pytest.mark.parametrize(
    ("column", "decimal", "numbers", "words"),
    [
        ([1, 2], ".", [1, 2], Words()),
        ([1.5, NAN, math.inf], ".", [1.5, NAN, NAN], Words()),
        (["1.5", "", " 2 ", "inf", None], ".", [1.5, NAN, 2, NAN, NAN], Words()),
        (["1,5", "---", "1.5", "NaN"], ",", [1.5, NAN, NAN, NAN], Words(3, "---")),
        (["1,5", "1.5", "1.234,5"], None, [1.5, 1.5, NAN], Words(1, "1.234,5")),
        (["x" * 50], ".", [NAN], Words(1, "x" * 40)),
        ([True, False], ".", [NAN, NAN], Words(2, "True")),
        ([2**70, None], ".", [2.0**70, NAN], Words()),
        ([], ".", [], Words()),
    ],
)
def test_numbers_are_told_from_words(
    column: list[Any], decimal: str | None, numbers: list[float], words: Words
) -> None:
    values, found = numbers_of(pd.Series(column, dtype=None if column else object), decimal)
    np.testing.assert_array_equal(values, numbers)
    assert (values.dtype, found) == (np.dtype(np.float64), words)


def test_the_first_word_is_the_example_of_all() -> None:
    assert Words() + Words(2, "a") + Words(1, "b") == Words(3, "a")


@pytest.fixture
def three_threads(monkeypatch: pytest.MonkeyPatch) -> None:
    """Read even small files in three stretches, a few rows at a time."""
    monkeypatch.setattr(recording_cells, "LARGE", 0)
    monkeypatch.setattr(recording_cells, "ROWS", 7)
    monkeypatch.setattr(os, "cpu_count", lambda: 3)


@pytest.mark.usefixtures("three_threads")
def test_many_threads_read_what_one_reads() -> None:
    rows = [f"{k},{600 + k / 10},{'---' if k % 11 == 5 else k}" for k in range(100)]
    recording = read("\n".join(["time_s,itt,n1", *rows]))
    assert recording.trace.times.tolist() == list(range(100))
    assert recording.trace.channels["itt"].tolist() == [float(f"{600 + k / 10}") for k in range(100)]
    assert np.flatnonzero(np.isnan(recording.trace.channels["n1"])).tolist() == [k for k in range(100) if k % 11 == 5]
    assert [(i.column, i.cells) for i in recording.ignored] == [("n1", 9)]


@pytest.mark.usefixtures("three_threads")
def test_a_cut_inside_a_quoted_cell_does_no_harm() -> None:
    note = "\n".join(f"{k},9" for k in range(200))
    recording = read(f'time_s,itt,note\n0,1,\n1,2,"{note}"\n2,3,\n')
    assert recording.trace.channels["itt"].tolist() == [1, 2, 3]


@pytest.mark.usefixtures("three_threads")
def test_a_row_too_long_is_named_whoever_reads_it() -> None:
    rows = "".join(f"{k},1\n" for k in range(90))
    with pytest.raises(TraceError, match="Line 92 has 4 cells, but the header in line 1 names 2 columns"):
        read(f"time_s,itt\n{rows}90,1,2,3\n{rows}")


def test_a_quotation_mark_that_is_never_closed_is_named_however_long_the_file() -> None:
    with pytest.raises(TraceError, match="The quoted cell that begins in line 4 never ends"):
        read('time_s,itt\n0,1\n\n1,"2\n' + "3,1\n" * 40_000)


def test_blank_cells_beyond_the_header_do_no_harm() -> None:
    recording = read("time_s,itt\n0,1,,\n1,2, ,\n2,3\n3\n")
    np.testing.assert_array_equal(recording.trace.channels["itt"], [1, 2, 3, NAN])


def test_a_file_of_one_thread_needs_no_count_of_processors(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(recording_cells, "LARGE", 0)
    monkeypatch.setattr(os, "cpu_count", lambda: None)
    assert read("time_s,itt\n0,1\n").trace.channels["itt"].tolist() == [1]


@pytest.mark.parametrize(
    "text", ["60.1", "0.1", "718.3", "1e-7", "123456789.123456789", "5e-324", "1.7976931348623157e308"]
)
def test_a_number_is_the_nearest_float(text: str) -> None:
    assert read(f"time_s,itt\n0,{text}\n").trace.channels["itt"].tolist() == [float(text)]
