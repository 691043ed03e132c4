"""Lists as files: numbers stay numbers, texts stay texts, and no text runs."""

import csv
import io
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from typing import Any

import openpyxl
import pytest

from logbook import tables
from logbook.tables import Cell, Column, cell_text, csv_lines, guarded, xlsx_bytes

WEST = timezone(timedelta(hours=-5))
COLUMNS = (Column("Text", lambda row: row[0]), Column("Change", lambda row: row[1], "h"))


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("=1+1", "'=1+1"),
        ("+A1", "'+A1"),
        ("-2+3", "'-2+3"),
        ("@SUM(A1)", "'@SUM(A1)"),
        ("\t=1", "'\t=1"),
        ("\r=1", "'\r=1"),
        ("-0.02", "-0.02"),
        ("+4", "+4"),
        ("-0,02", "-0,02"),
        ("-", "'-"),
        ("ITT, running", "ITT, running"),
        ("", ""),
    ],
)
def test_a_text_that_could_run_is_guarded_and_a_number_is_not(text: str, kept: str) -> None:
    assert guarded(text) == kept


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (None, ""),
        (-0.02, "-0.02"),
        (Decimal("-1.50"), "-1.50"),
        (-3, "-3"),
        (date(2026, 5, 4), "2026-05-04"),
        (datetime(2026, 5, 4, 7, 30, 1, 5, tzinfo=WEST), "2026-05-04T07:30:01-05:00"),
        ("=A1", "'=A1"),
    ],
)
def test_a_value_is_written_as_others_can_read_it(value: Cell, text: str) -> None:
    assert cell_text(value) == text


def test_csv_is_read_back_as_it_was() -> None:
    rows = [("a, “b”\nc", -0.02), ("=1+1", None)]
    text = "".join(csv_lines(COLUMNS, rows))
    assert list(csv.reader(io.StringIO(text))) == [["Text", "Change [h]"], ["a, “b”\nc", "-0.02"], ["'=1+1", ""]]


@pytest.mark.parametrize("bom", [True, False])
def test_a_byte_order_mark_comes_only_when_it_is_asked_for(bom: bool) -> None:
    assert next(csv_lines(COLUMNS, [], bom=bom)).startswith("\ufeff") is bom


def sheet_of(content: bytes) -> Any:
    """Return the one sheet of a workbook as another program reads it."""
    return openpyxl.load_workbook(io.BytesIO(content)).active


def test_a_workbook_keeps_numbers_texts_days_and_moments() -> None:
    columns = (*COLUMNS, Column("Day", lambda row: row[2]), Column("Moment", lambda row: row[3], is_moment=True))
    moment = datetime(2026, 5, 4, 23, 30, tzinfo=WEST)
    sheet = sheet_of(xlsx_bytes(columns, [("=1+1", -0.02, date(2026, 5, 4), moment), ("b", None, None, None)], "Rows"))
    assert sheet.title == "Rows"
    assert [cell.value for cell in sheet[1]] == ["Text", "Change [h]", "Day", "Moment [UTC]"]
    text, change, day, at = sheet[2]
    assert (text.value, text.data_type) == ("=1+1", "s")
    assert (change.value, change.data_type) == (-0.02, "n")
    assert (day.value, day.number_format) == (datetime(2026, 5, 4), "yyyy-mm-dd")  # noqa: DTZ001 - as a sheet has it
    assert at.value.replace(tzinfo=UTC) == moment
    assert [cell.value for cell in sheet[3]] == ["b", None, None, None]


def test_more_rows_than_a_sheet_holds_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tables, "MOST_XLSX_ROWS", 2)
    with pytest.raises(ValueError, match="A sheet holds 2 rows"):
        xlsx_bytes(COLUMNS, [("a", 1)] * 3, "Rows")
