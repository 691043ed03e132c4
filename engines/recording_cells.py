"""The cells of a text file as arrays: numbers, times, and the words that stand in a number's place."""

import csv
import os
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass
from typing import Any, cast

import numpy as np
from numpy.typing import NDArray

from engines.errors import TraceError
from engines.recording_layout import BLANKS, Layout
from engines.recording_plan import Plan, TimeColumn
from engines.recording_source import TextSource, lines_of
from engines.recording_times import NOT_A_TIME, ticks_of
from engines.traces import Floats

Times = NDArray[Any]  # seconds as floats, or ticks
ROWS = 50_000  # parsed at a time: few enough to stay small, enough to keep the cost of a call out of sight
LARGE = 8 << 20  # bytes above which a file is read in several stretches at once
MOST_THREADS = 6
EXAMPLE = 40  # characters of a cell kept as an example


@dataclass(frozen=True)
class Words:
    """How many cells were words where a number or a time belongs, and the first of them."""

    cells: int = 0
    example: str = ""

    def __add__(self, later: "Words") -> "Words":
        return Words(self.cells + later.cells, self.example if self.cells else later.example)


@dataclass(frozen=True)
class Piece:
    """Some rows of a file: times as seconds or ticks, values by column, words by column, the first stamp's text."""

    times: Times
    values: dict[int, Floats]
    words: dict[int, Words]
    stamp: str = ""


def numbers_of(column: Any, decimal: str | None) -> tuple[Floats, Words]:
    """Return the numbers in a column.

    Parameters
    ----------
    column : pandas.Series, shape (n,)
        Numbers as pandas recognised them, or texts.
    decimal : str or None
        The decimal mark; None where either will do.

    Returns
    -------
    tuple of (array of float of shape (n,), Words)
        NaN for blanks, words and infinities; blanks and infinities are not counted as words.
    """
    words = Words()
    if column.dtype.kind in "iuf":
        values = cast(Floats, column.to_numpy(np.float64))
    else:
        texts = column.astype(str).fillna("").str.strip()
        values = _parsed(texts, decimal)
        words = _words(texts, np.isnan(values))
    with np.errstate(over="ignore", invalid="ignore"):
        is_finite = np.isfinite(values.sum())  # true of almost every column, in one quick pass
    return (values if is_finite else np.where(np.isinf(values), np.nan, values)), words


def _parsed(texts: Any, decimal: str | None) -> Floats:
    import pandas as pd

    if decimal == ",":
        texts = texts.str.translate(str.maketrans(",.", ".,"))
    values: Floats = pd.to_numeric(texts.to_numpy(object), errors="coerce").astype(np.float64)
    return np.where(np.isnan(values), _parsed(texts, ","), values) if decimal is None else values


def _words(texts: Any, is_missing: NDArray[np.bool_], *, with_blanks: bool = False) -> Words:
    """Return the cells without a value that are words, or, of a time, blank as well."""
    rows = np.flatnonzero(is_missing if with_blanks else is_missing & (texts != "").to_numpy(np.bool_))
    return Words(rows.size, texts.iloc[rows[0]][:EXAMPLE]) if rows.size else Words()


def is_timeless(times: Times) -> NDArray[np.bool_]:
    """Return which rows have no time.

    Parameters
    ----------
    times : array of float or int64, shape (n,)
        Seconds, NaN where there is none; or ticks. [s or µs]

    Returns
    -------
    array of bool, shape (n,)
    """
    return np.isnan(times) if times.dtype == np.float64 else times == NOT_A_TIME


def times_of(frame: Any, time: TimeColumn, decimal: str | None) -> tuple[Times, Words, str]:
    """Return the times of some rows.

    Parameters
    ----------
    frame : pandas.DataFrame
        The rows, columns by index.
    time : TimeColumn
        The column that tells the time.
    decimal : str or None
        The decimal mark of plain numbers.

    Returns
    -------
    tuple of (array of shape (n,), Words, str)
        Plain numbers or ticks; the rows without a time, blank ones too; the text of the first stamp. [s or µs]
    """
    column = frame[time.index]
    if time.kind == "number":
        numbers, words = numbers_of(column, decimal)
        return numbers, Words(int(is_timeless(numbers).sum()), words.example), ""
    texts = column.astype(str).fillna("").str.strip()
    full = texts if time.date is None else frame[time.date].astype(str).fillna("").str.strip() + "T" + texts
    ticks = ticks_of(full, "clock" if time.kind == "clock" and time.date is None else "stamp")
    missing = is_timeless(ticks)
    first = "" if missing.all() else str(full.iloc[int(np.argmin(missing))])
    return ticks, _words(texts, missing, with_blanks=True), first


def _piece(frame: Any, layout: Layout, plan: Plan) -> Piece:
    """Return the arrays of some rows; ParserError where a row has a cell beyond the last header."""
    import pandas as pd

    for index in range(len(layout.columns.headers), layout.width + 1):
        if frame[index].notna().any() and (frame[index].dropna().astype(str).str.strip() != "").any():
            raise pd.errors.ParserError
    times, timeless, stamp = times_of(frame, plan.time, layout.decimal)
    read = {index: numbers_of(frame[index], layout.decimal) for index in {column.index for column in plan.channels}}
    words = {index: found for index, (_, found) in read.items()} | {plan.time.index: timeless}
    values = {index: numbers for index, (numbers, _) in read.items()}
    return Piece(times, values, words, stamp)


def _section_read(section: Any, layout: Layout, plan: Plan) -> list[Piece]:
    import pandas as pd

    texts = [] if plan.time.kind == "number" else [plan.time.index, plan.time.date]
    with pd.read_csv(
        section,
        sep=layout.delimiter,
        decimal=layout.decimal or ".",
        header=None,
        names=range(layout.width + 1),  # one more than there should be, to see a cell too many
        index_col=False,
        dtype={index: str for index in texts if index is not None} or None,
        keep_default_na=False,
        na_values=[""],
        skipinitialspace=layout.is_padded,
        low_memory=False,
        chunksize=ROWS,
        encoding_errors="replace",
    ) as frames:
        return [_piece(frame, layout, plan) for frame in frames]


def _joined(pieces: list[Piece], pool: ThreadPoolExecutor) -> Piece:
    """Return all rows as one, letting go of each column's pieces once they are joined."""

    def column(index: int) -> tuple[int, Floats]:
        return index, np.concatenate([piece.values.pop(index) for piece in pieces])

    words: dict[int, Words] = {}
    for piece in pieces:
        words |= {index: words.get(index, Words()) + found for index, found in piece.words.items()}
    times = np.concatenate([piece.times for piece in pieces])
    stamp = next((piece.stamp for piece in pieces if piece.stamp), "")
    return Piece(times, dict(pool.map(column, list(pieces[0].values))), words, stamp)


def cells_read(source: TextSource, layout: Layout, plan: Plan) -> Piece:
    """Return the cells of the columns that are wanted, all rows.

    Parameters
    ----------
    source : TextSource
        The file.
    layout : Layout
        How it is laid out.
    plan : Plan
        The columns wanted.

    Returns
    -------
    Piece
        Arrays of shape (n,), rows without a time among them.

    Raises
    ------
    TraceError
        If a row has more cells than the header, a quoted cell never ends, or there are no rows.

    Notes
    -----
    A large file is cut in two or more at line ends and read by as many threads. Where such a cut falls inside a quoted
    cell, its stretch ends in one, and the file is read again in one stretch.
    """
    import pandas as pd

    threads = min(os.cpu_count() or 1, MOST_THREADS) if (source.size or 0) > LARGE else 1
    with ThreadPoolExecutor(threads) as pool:
        for count in sorted({threads, 1}, reverse=True):
            sections = source.sections(layout.data_offset, count)
            try:
                read = list(pool.map(lambda section: _section_read(section, layout, plan), sections))
            except pd.errors.ParserError:
                continue
            return _joined([piece for pieces in read for piece in pieces], pool)
    raise _ragged(source, layout)


def rows_numbered(source: TextSource, layout: Layout) -> Iterator[tuple[int, list[str]]]:
    """Return the cells of each row of a text file with the line on which the row begins.

    Parameters
    ----------
    source : TextSource
        The file.
    layout : Layout
        How it is laid out.

    Yields
    ------
    tuple of (int, list of str)
        The line, counted from 1 with everything above the header; the cells without blanks around them, none for a
        quoted cell that goes on for longer than any cell may.
    """
    (section,) = source.sections(layout.data_offset, 1)
    is_blank_cut = layout.delimiter == BLANKS
    lines = (f"{' '.join(line.split()) if is_blank_cut else line}\n" for line in lines_of(section))
    rows = csv.reader(
        lines, delimiter=" " if is_blank_cut else layout.delimiter, skipinitialspace=is_blank_cut or layout.is_padded
    )
    line = layout.data_line
    with suppress(csv.Error):
        for row in rows:
            cells = [cell.strip() for cell in row]
            if cells not in ([], [""]):
                yield line, cells
            line = layout.data_line + rows.line_num
        return
    yield line, []


def _ragged(source: TextSource, layout: Layout) -> TraceError:
    """Return what is wrong with a file whose rows could not be told apart."""
    columns = len(layout.columns.headers)
    line = layout.data_line
    for line, cells in rows_numbered(source, layout):
        if len(cells) > columns:
            hint = "" if layout.delimiter == BLANKS else "; decimal commas need another character between cells"
            return TraceError(
                f"Line {line} has {len(cells)} cells, but the header in line {layout.header_line} names {columns} "
                f"columns{hint}."
            )
    return TraceError(f"The quoted cell that begins in line {line} never ends; close it with another quotation mark.")
