"""A list of parts with their times, read from CSV or XLSX, with every cell that is wrong named."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from datetime import UTC, date, datetime, time
from decimal import Decimal
from typing import Any, Final

from python_calamine import CalamineError, CalamineWorkbook

from engines.errors import DomainError
from engines.numbers_typed import count_typed, number_typed

MOST_ROWS: Final = 5000
SECONDS_PER_HOUR: Final = 3600
TEXT_SHEET: Final = "the file"
YES: Final = ("yes", "y", "true", "1", "x")
NO: Final = ("no", "n", "false", "0", "")


@dataclass(frozen=True)
class CellFault:
    """What is wrong with one cell, or with a whole row where ``column`` is empty; rows are counted as the file does."""

    sheet: str
    row: int
    column: str
    words: str

    @property
    def where(self) -> str:
        """Return where it is, in words."""
        column = f", column “{self.column}”" if self.column else ""
        return f"{self.sheet}, row {self.row}{column}"


@dataclass(frozen=True)
class PartRow:
    """One part of a list: what it is, what it had used, and where it is fitted, if it is; times in seconds."""

    sheet: str
    row: int
    part_number: str
    serial: str
    description: str = ""
    made_on: date | None = None
    run_time_s: int = 0
    time_in_service_s: int = 0
    starts: int = 0
    cycles: int = 0
    partial_cycles: int = 0
    basis: str = ""
    document: str = ""
    is_reconstructed: bool = False
    engine: str = ""
    module_part_number: str = ""
    module_serial: str = ""
    place: str = ""
    fitted_at: datetime | None = None


@dataclass
class PartList:
    """What a file holds: its rows that can be read, and what is wrong with the others."""

    rows: list[PartRow] = field(default_factory=list)
    faults: list[CellFault] = field(default_factory=list)


class BulkError(DomainError):
    """A file that is no list of parts at all; the message says what would be one."""

    code = "list_unreadable"


def _text(value: Any) -> str:
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    return str(value).strip() if value is not None else ""


def _hours(value: Any) -> int:
    hours = Decimal(str(value)) if isinstance(value, int | float) else number_typed(_text(value) or "0")
    if hours < 0:
        raise ValueError(f"“{value}” is below 0; write 0 or more.")
    return round(hours * SECONDS_PER_HOUR)


def _count(value: Any) -> int:
    return count_typed(_text(value) or "0")


def _day(value: Any) -> date | None:
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, date) or not _text(value):
        return value or None
    try:
        return date.fromisoformat(_text(value))
    except ValueError as error:
        raise ValueError(f"“{_text(value)}” is no day; write it as 2026-05-31.") from error


def _moment(value: Any) -> datetime | None:
    if isinstance(value, datetime):
        return value.replace(tzinfo=value.tzinfo or UTC)
    if isinstance(value, date):
        return datetime.combine(value, time(), tzinfo=UTC)
    if not _text(value):
        return None
    try:
        moment = datetime.fromisoformat(_text(value))
    except ValueError as error:
        raise ValueError(f"“{_text(value)}” is no day or time; write 2026-05-31 or 2026-05-31 07:30.") from error
    return moment.replace(tzinfo=moment.tzinfo or UTC)


def _is_yes(value: Any) -> bool:
    said = _text(value).lower()
    if said not in (*YES, *NO):
        raise ValueError(f"“{said}” is neither yes nor no.")
    return said in YES


# The heading of each column, with the field it fills and how its cells are read.
COLUMNS: Final[dict[str, tuple[str, Callable[[Any], Any]]]] = {
    "part number": ("part_number", _text),
    "serial number": ("serial", _text),
    "what it is": ("description", _text),
    "made on": ("made_on", _day),
    "run time [h]": ("run_time_s", _hours),
    "time in service [h]": ("time_in_service_s", _hours),
    "starts": ("starts", _count),
    "full cycles": ("cycles", _count),
    "partial cycles": ("partial_cycles", _count),
    "where the figures come from": ("basis", _text),
    "document": ("document", _text),
    "reconstructed": ("is_reconstructed", _is_yes),
    "engine": ("engine", _text),
    "module part number": ("module_part_number", _text),
    "module serial number": ("module_serial", _text),
    "place": ("place", _text),
    "fitted at": ("fitted_at", _moment),
}
NEEDED: Final = ("part number", "serial number", "where the figures come from")
LONGEST: Final = {"part number": 60, "serial number": 60, "what it is": 120, "document": 240, "place": 60}


def template_csv() -> str:
    """Return an empty list with every heading, for a person to fill in.

    Returns
    -------
    str
        One line.
    """
    return ",".join(COLUMNS) + "\r\n"


def part_list_read(content: bytes, name: str) -> PartList:
    """Return the parts that a file lists.

    Parameters
    ----------
    content : bytes
        The file: CSV in UTF-8 with commas, semicolons or tabs, or an XLSX workbook with one list on each sheet.
    name : str
        What it is called.

    Returns
    -------
    PartList
        Rows in the order of the file. Empty rows are passed over. Hours become whole seconds.

    Raises
    ------
    BulkError
        For a file that is neither, lacks a heading that is needed or has one that is not known, or is too long.
    """
    found = PartList()
    for sheet, table in _sheets(content, name):
        headings = _headings(sheet, table[0])
        for number, cells in enumerate(table[1:], start=2):
            if any(_text(cell) for cell in cells):
                _row_read(found, sheet, number, dict(zip(headings, cells, strict=False)))
    if not found.rows and not found.faults:
        raise BulkError("There is no part in the file. The first row holds the headings, each further row one part.")
    if len(found.rows) > MOST_ROWS:
        raise BulkError(f"The file lists more than {MOST_ROWS} parts; divide it.")
    _doubles_find(found)
    return found


def _sheets(content: bytes, name: str) -> Iterator[tuple[str, list[Sequence[Any]]]]:
    if content[:2] == b"PK":
        yield from _workbook_sheets(content, name)
        return
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise BulkError(f"{name} is neither an XLSX workbook nor text in UTF-8.") from error
    first = text.split("\n", 1)[0]
    delimiter = max(",;\t", key=first.count)
    table = list(csv.reader(io.StringIO(text), delimiter=delimiter))
    if not table:
        raise BulkError(f"{name} is empty.")
    yield TEXT_SHEET, list(table)


def _workbook_sheets(content: bytes, name: str) -> Iterator[tuple[str, list[Sequence[Any]]]]:
    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(content))
        for sheet in book.sheet_names:
            # Empty rows and columns at the beginning are kept, so that rows are counted as the file shows them.
            table = book.get_sheet_by_name(sheet).to_python(skip_empty_area=False)
            if table:
                yield sheet, [*table]
    except (CalamineError, OSError) as error:
        raise BulkError(f"{name} can't be read as a workbook: {error}") from error


def _headings(sheet: str, cells: Sequence[Any]) -> list[str]:
    headings = [_text(cell).lower() for cell in cells]
    missing = [heading for heading in NEEDED if heading not in headings]
    unknown = [heading for heading in headings if heading and heading not in COLUMNS]
    if missing or unknown:
        words = [f"without the heading “{heading}”" for heading in missing]
        words += [f"the heading “{heading}” is not known" for heading in unknown]
        raise BulkError(f"In {sheet}: {'; '.join(words)}. Known: {', '.join(COLUMNS)}.")
    return headings


def _row_read(found: PartList, sheet: str, number: int, cells: Mapping[str, Any]) -> None:
    values, faults = {}, []
    for heading, (name, read) in COLUMNS.items():
        try:
            values[name] = read(cells.get(heading))
        except ValueError as error:
            faults.append(CellFault(sheet, number, heading, str(error)))
            continue
        if fault := _value_fault(heading, values[name]):
            faults.append(CellFault(sheet, number, heading, fault))
    faults += [CellFault(sheet, number, heading, words) for heading, words in _host_faults(values)]
    if faults:
        found.faults += faults
    else:
        found.rows.append(PartRow(sheet, number, **values))


def _host_faults(values: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """Yield what of where a part is fitted does not go together, by heading."""
    engine, module, numbered = (values.get(name) for name in ("engine", "module_serial", "module_part_number"))
    yield from _since_faults(values, "engine" if engine else "module" if module else "")
    if engine and (module or numbered):
        yield "engine", "stands beside a module: write the engine, or the module that the part sits in, not both."
    elif bool(module) != bool(numbered):
        missing = "module part number" if module else "module serial number"
        yield missing, "is missing: a module is named by both of its numbers."


def _since_faults(values: Mapping[str, Any], host: str) -> Iterator[tuple[str, str]]:
    """Yield what is wrong with since when and where a part is fitted."""
    if host and values.get("fitted_at", 0) is None:
        yield "fitted at", f"is missing: since when it is fitted to that {host}."
    elif not host and not values.get("module_part_number") and (values.get("place") or values.get("fitted_at")):
        yield "engine", "is missing: a place or a day is given, and nothing that the part is fitted to."


def _value_fault(heading: str, value: Any) -> str:
    if heading in NEEDED and not value:
        return "is missing."
    longest = LONGEST.get(heading)
    return f"is longer than {longest} letters." if longest and len(value) > longest else ""


def _doubles_find(found: PartList) -> None:
    seen: dict[tuple[str, str], PartRow] = {}
    for row in found.rows:
        first = seen.setdefault((row.part_number, row.serial), row)
        if first is not row:
            words = f"{row.part_number} {row.serial} stands in row {first.row} of {first.sheet} too."
            found.faults.append(CellFault(row.sheet, row.row, "serial number", words))


def row_plain(row: PartRow) -> dict[str, Any]:
    """Return a row as plain data, to be kept until it is signed.

    Parameters
    ----------
    row : PartRow
        As it was read.

    Returns
    -------
    dict
        Its fields; days and moments as ISO 8601 texts, times in seconds. [s]
    """
    days = {name: value.isoformat() for name, value in vars(row).items() if isinstance(value, date)}
    return asdict(row) | days


def row_again(kept: Mapping[str, Any]) -> PartRow:
    """Return the row of which plain data was kept.

    Parameters
    ----------
    kept : mapping
        What ``row_plain`` returned.

    Returns
    -------
    PartRow
        The same row, times in seconds. [s]
    """
    made_on, fitted_at = kept["made_on"], kept["fitted_at"]
    days = {"made_on": made_on and date.fromisoformat(made_on)}
    return PartRow(**dict(kept) | days | {"fitted_at": fitted_at and datetime.fromisoformat(fitted_at)})
