"""The columns of a Parquet file as arrays."""

from typing import Any, BinaryIO

import numpy as np

from engines.errors import TraceError
from engines.recording_cells import Piece, Words, is_timeless, numbers_of, times_of
from engines.recording_columns import Columns
from engines.recording_layout import SAMPLED
from engines.recording_plan import Plan
from engines.recording_times import Kind, column_kind


def parquet_frame(handle: BinaryIO) -> Any:
    """Return a Parquet file as a data frame; a named index becomes its first column.

    Parameters
    ----------
    handle : binary file
        At its beginning.

    Returns
    -------
    pandas.DataFrame
        Headers are texts.

    Raises
    ------
    TraceError
        If the optional reader is not installed, the file is damaged, or it has no rows.
    """
    import pandas as pd

    try:
        frame = pd.read_parquet(handle, engine="pyarrow")
    except ImportError as error:
        raise TraceError("Parquet files need the optional reader: install the “parquet” extra, or use CSV.") from error
    except (ValueError, OSError) as error:
        raise TraceError("The Parquet file is damaged; export the recording again.") from error
    if any(frame.index.names):
        frame = frame.reset_index()
    if not len(frame):
        raise TraceError("The Parquet file has no rows.")
    return frame.set_axis([str(name).strip() for name in frame.columns], axis=1)


def _kind(column: Any) -> Kind:
    if column.dtype.kind in "iuf":
        return "number"
    return "stamp" if column.dtype.kind == "M" else column_kind([str(cell) for cell in column.dropna()[:SAMPLED]])


def parquet_columns(frame: Any) -> Columns:
    """Return what is known of a data frame's columns.

    Parameters
    ----------
    frame : pandas.DataFrame
        As :func:`parquet_frame` gives it.

    Returns
    -------
    Columns
        Units stand in the headers only.
    """
    kinds = tuple(_kind(frame.iloc[:, k]) for k in range(frame.shape[1]))
    return Columns(tuple(frame.columns), kinds, {})


def parquet_cells(frame: Any, plan: Plan) -> Piece:
    """Return the cells of the columns that are wanted.

    Parameters
    ----------
    frame : pandas.DataFrame
        As :func:`parquet_frame` gives it.
    plan : Plan
        The columns wanted.

    Returns
    -------
    Piece
        Arrays of shape (n,), rows without a time among them.
    """
    frame = frame.set_axis(range(frame.shape[1]), axis=1)
    moments = frame[plan.time.index]
    if moments.dtype.kind == "M":
        zoned = moments if moments.dt.tz is None else moments.dt.tz_convert("UTC").dt.tz_localize(None)
        times = zoned.to_numpy("datetime64[us]").astype(np.int64)
        missing = is_timeless(times)
        timeless = Words(int(missing.sum()))
        stamp = "" if missing.all() else moments.iloc[int(np.argmin(missing))].isoformat()
    else:
        times, timeless, stamp = times_of(frame, plan.time, ".")
    values, words = {}, {}
    for index in {column.index for column in plan.channels}:
        values[index], words[index] = numbers_of(frame[index], ".")
    return Piece(times, values, words | {plan.time.index: timeless}, stamp)
