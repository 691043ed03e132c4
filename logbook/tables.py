"""Lists as files for spreadsheets: CSV and XLSX with the same columns, and nothing in a cell that could run."""

import csv
import io
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any, Final

import xlsxwriter

BOM: Final = "\ufeff"
# What makes a spreadsheet take a text for a formula, or hides one behind a blank.
STARTS_FORMULA: Final = ("=", "+", "-", "@", "\t", "\r")
NUMBER: Final = re.compile(r"[+-]?\d+([.,]\d+)?")
MOST_XLSX_ROWS: Final = 1_048_575
DAY_FORMAT: Final = "yyyy-mm-dd"
MOMENT_FORMAT: Final = "yyyy-mm-dd hh:mm:ss"

Cell = str | int | float | Decimal | date | datetime | None


@dataclass(frozen=True)
class Column:
    """A column: its heading, how a row's value is found, its unit, and whether its values are moments."""

    heading: str
    value: Callable[[Any], Cell]
    unit: str = ""
    is_moment: bool = False

    @property
    def title(self) -> str:
        """Return the heading with its unit."""
        return f"{self.heading} [{self.unit}]" if self.unit else self.heading


def guarded(text: str) -> str:
    """Return a text that no spreadsheet takes for a formula.

    Parameters
    ----------
    text : str
        A cell's text.

    Returns
    -------
    str
        A text that begins like a formula gets an apostrophe before it; a plain number stays as it is.
    """
    if not text.startswith(STARTS_FORMULA) or NUMBER.fullmatch(text):
        return text
    return f"'{text}"


def cell_text(value: Cell) -> str:
    """Return a value as CSV has it.

    Parameters
    ----------
    value : str, number, date, datetime or None
        The value; moments have an offset from UTC.

    Returns
    -------
    str
        Days and moments by ISO 8601, numbers with a decimal point and unguarded, texts guarded, nothing for None.
    """
    if value is None:
        return ""
    if isinstance(value, datetime):
        return value.isoformat(timespec="seconds")
    if isinstance(value, date):
        return value.isoformat()
    return guarded(value) if isinstance(value, str) else str(value)


def csv_lines(columns: Sequence[Column], rows: Iterable[Any], *, bom: bool = False) -> Iterator[str]:
    """Yield a list as CSV (RFC 4180), a line at a time.

    Parameters
    ----------
    columns : sequence of Column
        The columns.
    rows : iterable
        What the columns take their values from.
    bom : bool
        Whether a byte order mark comes first, by which some spreadsheets know UTF-8.

    Yields
    ------
    str
        The headings, then a line for each row.
    """
    yield (BOM if bom else "") + _line([guarded(column.title) for column in columns])
    for row in rows:
        yield _line([cell_text(column.value(row)) for column in columns])


def _line(cells: list[str]) -> str:
    buffer = io.StringIO()
    csv.writer(buffer).writerow(cells)
    return buffer.getvalue()


def xlsx_bytes(columns: Sequence[Column], rows: Iterable[Any], name: str) -> bytes:
    """Return a list as a workbook of one sheet.

    Parameters
    ----------
    columns : sequence of Column
        The columns.
    rows : iterable
        What the columns take their values from.
    name : str
        Name of the sheet, at most 31 letters.

    Returns
    -------
    bytes
        XLSX: texts are texts whatever they begin with, numbers are numbers, days are days; moments are in UTC,
        which their heading says, because a sheet keeps no offset.

    Raises
    ------
    ValueError
        If there are more rows than a sheet holds.
    """
    file = io.BytesIO()
    with xlsxwriter.Workbook(file, {"in_memory": True}) as book:
        sheet = book.add_worksheet(name)
        bold = book.add_format({"bold": True})
        formats = {kind: book.add_format({"num_format": kind}) for kind in (DAY_FORMAT, MOMENT_FORMAT)}
        for place, column in enumerate(columns):
            sheet.write_string(0, place, f"{column.title} [UTC]" if column.is_moment else column.title, bold)
            sheet.set_column(place, place, max(12, len(column.title) + 2))
        sheet.freeze_panes(1, 1)
        for line, row in enumerate(rows, start=1):
            if line > MOST_XLSX_ROWS:
                raise ValueError(f"A sheet holds {MOST_XLSX_ROWS} rows; narrow the list, or take it as CSV.")
            for place, column in enumerate(columns):
                _write(sheet, (line, place), column.value(row), formats)
    return file.getvalue()


def _write(sheet: Any, place: tuple[int, int], value: Cell, formats: dict[str, Any]) -> None:
    if value is None:
        return
    if isinstance(value, datetime):
        sheet.write_datetime(*place, value.astimezone(UTC).replace(tzinfo=None), formats[MOMENT_FORMAT])
    elif isinstance(value, date):
        sheet.write_datetime(*place, value, formats[DAY_FORMAT])
    elif isinstance(value, str):
        sheet.write_string(*place, value)
    else:
        sheet.write_number(*place, float(value))
