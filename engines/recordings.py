"""Reading a recorded run: any CSV or Parquet file in, a trace in the engine type's units out."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np
from numpy.typing import NDArray

from engines.calibration import Calibration, calibrated
from engines.charts import EngineTypeData
from engines.errors import TraceError
from engines.recording_cells import Piece, cells_read, is_timeless, rows_numbered
from engines.recording_columns import Columns
from engines.recording_layout import Layout, layout_of
from engines.recording_parquet import parquet_cells, parquet_columns, parquet_frame
from engines.recording_plan import ChannelColumn, Plan, Wish, plan_of, plan_proposed
from engines.recording_source import TextSource, is_parquet, recording_open, text_source
from engines.recording_times import moment_of, seconds_of
from engines.traces import ColumnMatch, Floats, Ignored, Recording, Trace
from engines.units import UnitError, convert

LONGEST_S = 400 * 86_400.0  # far longer than any engine runs; a wrong unit or a damaged stamp counts further


@dataclass(frozen=True)
class Proposal:
    """A file's headers, and what would be read from it unasked: header and unit by channel, ``"time_s"`` among them."""

    headers: tuple[str, ...]
    columns: Mapping[str, str]
    units: Mapping[str, str]


@dataclass(frozen=True)
class _Table:
    """An opened file: its columns, and what is needed to read their cells and to name a row of them."""

    columns: Columns
    text: tuple[TextSource, Layout] | None
    frame: Any = None

    def cells(self, plan: Plan) -> Piece:
        return cells_read(*self.text, plan) if self.text else parquet_cells(self.frame, plan)

    def backwards(self, plan: Plan, before: int, row: int) -> TraceError:
        """Return the refusal of a file whose time runs backwards from one row to a later one, counted from 0."""
        header, index = self.columns.headers[plan.time.index], plan.time.index
        if self.text is None:
            place, cells = f"row {row + 1}", [str(self.frame.iloc[k, index]) for k in (before, row)]
        else:
            found = [numbered for k, numbered in enumerate(rows_numbered(*self.text)) if k in (before, row)]
            place, cells = f"line {found[-1][0]}", ["".join(texts[index : index + 1]) for _, texts in found]
        return TraceError(
            f"Time runs backwards in {place}, column “{header}”: {cells[-1]} after {cells[0]}; "
            "put the rows in the order of time, or split the recording there."
        )


def _table_read(handle: BinaryIO, wish: Wish, name: str) -> _Table:
    if is_parquet(handle, name):
        frame = parquet_frame(handle)
        return _Table(parquet_columns(frame), None, frame)
    source = text_source(handle)
    layout = layout_of(source, wish)
    return _Table(layout.columns, (source, layout))


def recording_read(
    source: str | Path | BinaryIO,
    engine_type: EngineTypeData,
    *,
    columns: Mapping[str, str] | None = None,
    units: Mapping[str, str] | None = None,
    name: str = "",
    calibrations: Mapping[str, Calibration] | None = None,
) -> Recording:
    """Return the trace that a recorder wrote to a file.

    Parameters
    ----------
    source : str, Path or binary file
        CSV with any delimiter, decimal mark, preamble, unit row and encoding, gzipped or not; or Parquet.
    engine_type : EngineTypeData
        Whose channels are looked for.
    columns : mapping of str to str, optional
        Headers named by hand: channel, or ``"time_s"``, to header. Other columns are found by the channel's name or
        label, whatever the case, blanks, underscores and hyphens, a unit in brackets behind it left out.
    units : mapping of str to str, optional
        Channel, or ``"time_s"``, to the unit of its column where the file does not say. Without, it is the channel's
        own, and seconds.
    name : str
        What the file is called, for messages; a path needs none.
    calibrations : mapping of str to Calibration, optional
        The engine's own, by channel: a column in what its instrument reads is turned into the channel's unit by it.

    Returns
    -------
    Recording
        Times from the first row that has one, values in the channels' units, NaN where there is none. [s]

    Raises
    ------
    TraceError
        If the file cannot be used, in one sentence with the line, counted from 1, and the column where there is one.

    Notes
    -----
    Blank cells and infinities are missing; words in a number's place are missing and counted, as are rows without a
    time, which are left out. Rows with equal times keep their order; time that runs backwards is refused, but a clock
    without a date that jumps back by more than twelve hours has passed midnight.
    """
    wish = Wish(engine_type.channels, columns or {}, units or {})
    name = name or (str(source) if isinstance(source, str | Path) else "")
    with recording_open(source, name) as handle:
        table = _table_read(handle, wish, name)
        plan = plan_of(table.columns, wish)
        return _recording(table, plan, table.cells(plan), calibrations or {})


def _recording(table: _Table, plan: Plan, cells: Piece, calibrations: Mapping[str, Calibration]) -> Recording:
    headers = table.columns.headers
    rows = _rows_with_time(cells, plan, headers)
    kind = "stamp" if plan.time.date is not None else plan.time.kind
    seconds = _seconds(cells.times[rows], table, plan) if kind == "number" else seconds_of(cells.times[rows], kind)
    channels = {
        c.channel.name: _converted(cells.values[c.index][rows], c, headers, calibrations.get(c.channel.name))
        for c in plan.channels
    }
    try:
        trace = Trace(seconds, channels)
    except TraceError:
        later = int(np.argmax(np.diff(seconds) < 0)) + 1
        raise table.backwards(plan, *np.arange(cells.times.size)[rows][later - 1 : later + 1]) from None
    if seconds[-1] > LONGEST_S:
        raise TraceError(
            f"From the first row to the last, column “{headers[plan.time.index]}” counts {seconds[-1]:g} s, "
            "over a year; no engine runs so long. Mend the times, or give their unit."
        )
    return Recording(
        trace=trace,
        matches=tuple(ColumnMatch(headers[c.index], c.channel.name, c.unit) for c in plan.channels),
        unused=plan.unused,
        ignored=_ignored(cells, headers),
        started_at=moment_of(cells.stamp) if kind == "stamp" else None,
    )


def _rows_with_time(cells: Piece, plan: Plan, headers: tuple[str, ...]) -> slice | NDArray[np.int64]:
    """Return the rows that have a time: all of them as a slice, which copies nothing, where none lacks it."""
    timeless = cells.words[plan.time.index]
    if not timeless.cells:
        return slice(None)
    rows = np.flatnonzero(~is_timeless(cells.times))
    if not rows.size:
        header = headers[plan.time.index]
        raise TraceError(f"No row has a time in column “{header}” (the first holds “{timeless.example}”).")
    return rows


def _ignored(cells: Piece, headers: tuple[str, ...]) -> tuple[Ignored, ...]:
    """Return what was counted as no number, in the order of the columns."""
    counted = {index: words for index, words in sorted(cells.words.items()) if words.cells}
    return tuple(Ignored(headers[index], words.cells, words.example) for index, words in counted.items())


def _seconds(numbers: Floats, table: _Table, plan: Plan) -> Floats:
    """Return plain numbers as seconds from the first."""
    try:
        seconds = convert(numbers, plan.time.unit, "s")
    except UnitError as error:
        raise TraceError(f"Column “{table.columns.headers[plan.time.index]}” is no time: {error.message}") from error
    return seconds - seconds[0] if seconds[0] else seconds


def _converted(
    values: Floats, column: ChannelColumn, headers: tuple[str, ...], calibration: Calibration | None
) -> Floats:
    """Return values in the unit of their channel, by the engine's own calibration where they are in another unit."""
    by_own = calibrated(values, column.unit, calibration)
    if by_own is not None:
        return by_own
    try:
        return convert(values, column.unit, column.channel.unit)
    except UnitError as error:
        header, name = headers[column.index], column.channel.name
        raise TraceError(f"Column “{header}” can't be read as {name}: {error.message}") from error


def columns_propose(
    source: str | Path | BinaryIO,
    engine_type: EngineTypeData,
    *,
    columns: Mapping[str, str] | None = None,
    name: str = "",
) -> Proposal:
    """Return the headers of a file and the columns that would be read from it, for a person to check.

    Parameters
    ----------
    source : str, Path or binary file
        As for :func:`recording_read`.
    engine_type : EngineTypeData
        Whose channels are looked for.
    columns : mapping of str to str, optional
        Headers remembered from another file; those that this file lacks are left out.
    name : str
        What the file is called, for messages.

    Returns
    -------
    Proposal
        Channels that no column fits, or more than one, are left out.

    Raises
    ------
    TraceError
        If the file cannot be read, or holds no header with numbers below it.
    """
    wish = Wish(engine_type.channels, columns or {}, {})
    name = name or (str(source) if isinstance(source, str | Path) else "")
    with recording_open(source, name) as handle:
        table = _table_read(handle, wish, name).columns
    found = plan_proposed(table, wish)
    return Proposal(
        tuple(header for header in table.headers if header),
        {channel: table.headers[index] for channel, (index, _) in found.items()},
        {channel: unit for channel, (_, unit) in found.items()},
    )


def file_rows(
    source: str | Path | BinaryIO,
    engine_type: EngineTypeData,
    samples: int,
    *,
    columns: Mapping[str, str] | None = None,
    name: str = "",
) -> list[int] | None:
    """Return the row of the file that each sample was read from.

    Parameters
    ----------
    source : str, Path or binary file
        The file as it came.
    engine_type : EngineTypeData
        Whose channels were read.
    samples : int
        How many samples were read from it.
    columns : mapping of str to str, optional
        Channel to header, as they were read.
    name : str
        What the file is called.

    Returns
    -------
    list of int or None
        Of a text file its lines, of Parquet its rows, both counted from 1; None where rows were left out, so that the
        row of a sample is not known.

    Raises
    ------
    TraceError
        If the file cannot be read.
    """
    wish = Wish(engine_type.channels, columns or {}, {})
    with recording_open(source, name) as handle:
        table = _table_read(handle, wish, name)
        lines = [line for line, _ in rows_numbered(*table.text)] if table.text else [*range(1, len(table.frame) + 1)]
    return lines if len(lines) == samples else None
