"""Parquet files read as text files do."""

import io
import sys
from datetime import UTC, datetime, time

import numpy as np
import pandas as pd
import pytest

from engines.errors import TraceError
from engines.traces import ColumnMatch, Ignored
from tests.engines.recorders import read


def parquet(frame: pd.DataFrame) -> bytes:
    """Return a data frame as a Parquet file."""
    out = io.BytesIO()
    frame.to_parquet(out)
    return out.getvalue()


def test_numbers_are_read() -> None:
    frame = pd.DataFrame({"Time [min]": [1, 2], "ITT (°F)": [212.0, np.inf], "n1": pd.array([1, None], dtype="Int64")})
    recording = read(parquet(frame.assign(note=["a", "b"])))
    assert recording.trace.times.tolist() == [0, 60]
    np.testing.assert_allclose(recording.trace.channels["itt"], [100, np.nan], atol=1e-9)
    np.testing.assert_array_equal(recording.trace.channels["n1"], [1, np.nan])
    assert recording.matches == (ColumnMatch("ITT (°F)", "itt", "degF"), ColumnMatch("n1", "n1", "percent"))
    assert recording.unused == ("note",)


def test_moments_are_read_from_the_index_too() -> None:
    stamps = pd.DatetimeIndex(["2024-05-01T10:00:00.1Z", None, "2024-05-01T10:00:02.6Z"], name="when")
    recording = read(parquet(pd.DataFrame({"itt": ["650", "651", "---"]}, index=stamps)))
    assert recording.trace.times.tolist() == [0, 2.5]
    assert recording.started_at == datetime(2024, 5, 1, 10, 0, 0, 100_000, tzinfo=UTC)
    assert recording.ignored == (Ignored("when", 1, ""), Ignored("itt", 1, "---"))


@pytest.mark.parametrize(
    ("cells", "seconds"),
    [
        ([time(23, 59, 59), time(0, 0, 1)], [0, 2]),
        (["10:00", "10:01"], [0, 60]),
        (pd.to_datetime(["2024-05-01", "2024-05-02"]), [0, 86_400]),
        (["2024-05-01T10:00Z", "2024-05-01T10:00:00.25Z"], [0, 0.25]),
    ],
)
def test_stamps_and_clocks_are_read(cells: list[object], seconds: list[float]) -> None:
    assert read(parquet(pd.DataFrame({"c": cells, "itt": [1.0, 2.0]}))).trace.times.tolist() == seconds


@pytest.mark.parametrize(
    ("frame", "sentence"),
    [
        (pd.DataFrame({"time_s": [0.0, 2.0, 1.0], "itt": 1.0}), "Time runs backwards in row 3, column “time_s”"),
        (pd.DataFrame({"time_s": [], "itt": []}), "The Parquet file has no rows"),
        (pd.DataFrame({"at": pd.to_datetime([None, None]), "itt": 1.0}), "No row has a time in column “at”"),
        (pd.DataFrame({"itt": [1.0]}), "No column tells the time"),
    ],
)  # fmt: skip
def test_a_file_that_cannot_be_used_is_refused(frame: pd.DataFrame, sentence: str) -> None:
    with pytest.raises(TraceError, match=sentence):
        read(parquet(frame))


def test_without_the_optional_reader_the_extra_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    data = parquet(pd.DataFrame({"time_s": [0.0], "itt": [1.0]}))
    monkeypatch.setitem(sys.modules, "pyarrow", None)
    with pytest.raises(TraceError, match="install the “parquet” extra"):
        read(data)


def test_a_name_that_says_parquet_is_believed() -> None:
    with pytest.raises(TraceError, match="The Parquet file is damaged"):
        read("time_s,itt\n0,1\n", name="run.parquet")
