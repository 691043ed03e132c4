"""Recorded traces as CSV that any program reads, and back without a bit of difference."""

import gzip
import io
from collections.abc import Mapping
from typing import Any

import pandas as pd

from engines.errors import TraceError
from engines.traces import ColumnMatch, Ignored, Recording, Trace

TIME = "time_s"
LONGEST_CELL = 32  # bytes of a figure with its comma


def trace_csv(recording: Recording) -> bytes:
    """Return the samples of a recording as compressed CSV: time in seconds, and each channel in its own unit.

    A figure is written in as few digits as tell it from every other; a cell is empty where there is no valid value.
    """
    table = pd.DataFrame({TIME: recording.trace.times, **recording.trace.channels})
    return gzip.compress(table.to_csv(index=False).encode(), compresslevel=6, mtime=0)


def trace_facts(recording: Recording) -> dict[str, Any]:
    """Return what of a recording neither its samples nor its row tell."""
    return {
        "ignored": [[one.column, one.cells, one.example] for one in recording.ignored],
        "started_at": recording.started_at.isoformat() if recording.started_at else None,
    }


def trace_recording(data: bytes, row: Mapping[str, Any]) -> Recording:
    """Return the recording that was written, with what its row tells of it; TraceError if samples are missing."""
    table = pd.read_csv(io.BytesIO(_unpacked(data, row)), dtype=float)
    if len(table) != row["samples"]:
        raise TraceError(f"There are {len(table)} samples, and should be {row['samples']}.")
    times = table.pop(TIME).to_numpy()
    started_at = row["facts"]["started_at"]
    return Recording(
        trace=Trace(times, {str(name): table[name].to_numpy() for name in table}),
        matches=tuple(ColumnMatch(m["header"], m["channel"], m["unit"]) for m in row["matches"]),
        unused=tuple(row["unused"]),
        ignored=tuple(Ignored(*one) for one in row["facts"]["ignored"]),
        started_at=pd.Timestamp(started_at).to_pydatetime() if started_at else None,
    )


def _unpacked(data: bytes, row: Mapping[str, Any]) -> bytes:
    """Return the text; TraceError where it is longer than its samples can be, before it fills the memory."""
    most = (row["samples"] + 1) * (len(row["matches"]) + 1) * LONGEST_CELL + (1 << 16)
    with gzip.GzipFile(fileobj=io.BytesIO(data)) as file:
        text = file.read(most + 1)
    if len(text) > most:
        raise TraceError("The samples are more than the record says.")
    return text
