"""Lists of parts as operators keep them; invented, since no list of anybody's is published."""

import io
import json
from datetime import UTC, date, datetime
from typing import Any

import pytest
import xlsxwriter

from engines.bulk import COLUMNS, BulkError, CellFault, PartRow, part_list_read, row_again, row_plain, template_csv
from tests.layers import PURE_MODULES

HEAD = "part number,serial number,where the figures come from"


def listed(*rows: str, head: str = HEAD) -> bytes:
    return "\n".join([head, *rows, ""]).encode()


def workbook(*sheets: tuple[str, list[list[Any]]]) -> bytes:
    """Return a workbook with sheets of cells."""
    stream = io.BytesIO()
    with xlsxwriter.Workbook(stream, {"default_date_format": "yyyy-mm-dd"}) as book:
        for name, rows in sheets:
            sheet = book.add_worksheet(name)
            for row, cells in enumerate(rows):
                for column, cell in enumerate(cells):
                    sheet.write(row, column, cell)
    return stream.getvalue()


def faults(content: bytes, name: str = "parts.csv") -> list[str]:
    return [f"{fault.where}: {fault.words}" for fault in part_list_read(content, name).faults]


def test_a_whole_row_is_read_to_the_second() -> None:
    head = ",".join(COLUMNS)
    row = "D-1,A7,Disc,2019-03-02,1204.25,1100,900,850,12,Log card,Card 7,yes,TB-0001,,,turbine,2024-02-29 07:30"
    found = part_list_read(listed(row, head=head), "parts.csv")
    assert found.faults == []
    assert found.rows == [
        PartRow(
            sheet="the file",
            row=2,
            part_number="D-1",
            serial="A7",
            description="Disc",
            made_on=date(2019, 3, 2),
            run_time_s=4335300,
            time_in_service_s=3960000,
            starts=900,
            cycles=850,
            partial_cycles=12,
            basis="Log card",
            document="Card 7",
            is_reconstructed=True,
            engine="TB-0001",
            place="turbine",
            fitted_at=datetime(2024, 2, 29, 7, 30, tzinfo=UTC),
        )
    ]


@pytest.mark.parametrize("mark", [";", "\t"])
def test_other_marks_between_cells_and_decimal_commas_are_read(mark: str) -> None:
    head = mark.join(["part number", "serial number", "where the figures come from", "run time [h]"])
    found = part_list_read(listed(mark.join(["D-1", "A7", "card", "10,5"]), head=head), "parts.csv")
    assert found.rows[0].run_time_s == 37800


def test_a_workbook_is_read_sheet_by_sheet_with_its_own_kinds_of_cells() -> None:
    names = ["part number", "serial number", "where the figures come from", "run time [h]", "starts", "made on"]
    names += ["engine", "fitted at"]
    cells = ["D-1", 7, "card", 10.5, 900, datetime(2019, 3, 2, 7, 30), "TB-0001", date(2024, 2, 29)]  # noqa: DTZ001
    content = workbook(
        ("Disks", [names, cells]),
        ("Empty", []),
        ("Blades", [names, [], ["B-1", "x", "card", 1, 1, "", "TB-1", datetime(2024, 2, 29, 9, 45)]]),  # noqa: DTZ001
    )
    found = part_list_read(content, "parts.xlsx")
    assert [(row.sheet, row.row, row.serial) for row in found.rows] == [("Disks", 2, "7"), ("Blades", 3, "x")]
    first = found.rows[0]
    assert (first.run_time_s, first.starts, first.made_on) == (37800, 900, date(2019, 3, 2))
    assert [row.fitted_at for row in found.rows] == [
        datetime(2024, 2, 29, tzinfo=UTC),
        datetime(2024, 2, 29, 9, 45, tzinfo=UTC),
    ]


@pytest.mark.parametrize(
    ("column", "cell", "says"),
    [
        ("run time [h]", "-1", "“-1” is below 0; write 0 or more."),
        ("run time [h]", "1,234", "can be read as 1234 or as 1.234"),
        ("starts", "1.5", "“1.5” is not a whole number"),
        ("made on", "yesterday", "“yesterday” is no day; write it as 2026-05-31."),
        ("fitted at", "soon", "“soon” is no day or time; write 2026-05-31 or 2026-05-31 07:30."),
        ("reconstructed", "maybe", "“maybe” is neither yes nor no."),
        ("place", "x" * 61, "is longer than 60 letters."),
        ("module serial number", "4", "is missing: since when it is fitted to that module."),
        ("engine", "TB-0001", "is missing: since when it is fitted to that engine."),
    ],
)
def test_a_cell_that_is_wrong_is_named(column: str, cell: str, says: str) -> None:
    quoted = f'"{cell}"'
    found = faults(listed(f"D-1,A7,card,{quoted}", head=f"{HEAD},{column}"))
    where = "fitted at" if column in ("engine", "module serial number") else column
    assert found[0].startswith(f"the file, row 2, column “{where}”: ")
    assert says in found[0]


@pytest.mark.parametrize(
    ("cells", "where", "says"),
    [
        ("TB-1,M-1,4,,2026-05-01", "engine", "not both"),
        (",M-1,,,2026-05-01", "module serial number", "named by both of its numbers"),
        (",,4,,2026-05-01", "module part number", "named by both of its numbers"),
        (",,,turbine,", "engine", "nothing that the part is fitted to"),
        (",,,,2026-05-01", "engine", "nothing that the part is fitted to"),
    ],
)
def test_what_a_part_is_fitted_to_is_one_thing_and_whole(cells: str, where: str, says: str) -> None:
    head = f"{HEAD},engine,module part number,module serial number,place,fitted at"
    (found,) = faults(listed(f"D-1,A7,card,{cells}", head=head))
    assert found.startswith(f"the file, row 2, column “{where}”: ")
    assert says in found


def test_a_row_is_kept_as_plain_data_and_read_back_the_same() -> None:
    head = f"{HEAD},made on,module part number,module serial number,fitted at"
    found = part_list_read(listed("D-1,A7,card,2019-03-02,M-1,4,2024-02-29", "D-1,A8,card,,,,", head=head), "x.csv")
    assert [row_again(json.loads(json.dumps(row_plain(row)))) for row in found.rows] == found.rows


def test_every_wrong_cell_is_named_at_once_and_empty_rows_are_passed_over() -> None:
    assert faults(listed(",A7,", "", " , , ", "D-1,B8,card", "D-1,B8,card")) == [
        "the file, row 2, column “part number”: is missing.",
        "the file, row 2, column “where the figures come from”: is missing.",
        "the file, row 6, column “serial number”: D-1 B8 stands in row 5 of the file too.",
    ]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "is empty"),
        (b"\xff\xfe\x00", "neither an XLSX workbook nor text"),
        (b"PK\x03\x04nothing", "can't be read as a workbook"),
        (b"part number,serial number\n1,2\n", "without the heading “where the figures come from”"),
        (listed("1,2,3,4", head=f"{HEAD},colour"), "the heading “colour” is not known. Known: part number, serial"),
        (listed(), "There is no part in the file."),
        (listed(*(f"D,{k},card" for k in range(5001))), "more than 5000 parts"),
    ],
)
def test_what_is_no_list_is_refused(content: bytes, says: str) -> None:
    with pytest.raises(BulkError, match=says.replace("(", "\\(")):
        part_list_read(content, "parts")


def test_the_empty_list_has_every_heading() -> None:
    assert template_csv().strip().split(",") == list(COLUMNS)
    assert "engines/bulk.py" in PURE_MODULES
    assert CellFault("Disks", 3, "", "x").where == "Disks, row 3"
