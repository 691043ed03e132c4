"""The delimiter, the header and the unit row are found under any preamble."""

import pytest

from engines.errors import TraceError
from engines.recording_layout import BLANKS, Layout, cells_of, layout_of
from engines.recording_plan import Wish
from engines.recording_source import text_source
from tests.engines.recorders import ENGINE_TYPE, file_of


def layout(text: str, **columns: str) -> Layout:
    """Return the layout of a text, looked at for the engine type of the tests."""
    return layout_of(text_source(file_of(text)), Wish(ENGINE_TYPE.channels, columns, {}))


@pytest.mark.parametrize(
    ("line", "delimiter", "cells"),
    [
        ("a, b ,,c ", ",", ["a", "b", "", "c"]),
        ('"a;""b""", "c"', ",", ['a;"b"', "c"]),
        ("  a \t b  c ", BLANKS, ["a", "b", "c"]),
        ("a\t b\t", "\t", ["a", "b", ""]),
        ("", ";", []),
    ],
)
def test_a_line_is_cut_into_cells(line: str, delimiter: str, cells: list[str]) -> None:
    assert cells_of(line, delimiter) == cells


@pytest.mark.parametrize(
    ("text", "delimiter", "decimal"),
    [
        ("time_s,itt\n0,1\n", ",", "."),
        ("time_s;itt\n0;1\n", ";", None),
        ("time_s;itt\n0;1,5\n1;2\n", ";", ","),
        ("time_s|itt\n0|1.5\n", "|", "."),
        ("time_s\titt\n0\t1.5e3\n", "\t", "."),
        ("when,x\n2024-05-01 10:00:00,1\n", ",", "."),
        ("when;x\n2024-05-01 10:00:00,5;1,5\n", ";", ","),
        ("a;b\n0,1;650,5\n0,2;651,5\n", ";", ","),
        ("a b\n0,1 650,5\n0,2 651,5\n", BLANKS, ","),
        ("a,b,c\n---,1,\n---,,2\n", ",", "."),
    ],
)
def test_the_delimiter_makes_the_most_numbers(text: str, delimiter: str, decimal: str | None) -> None:
    found = layout(text)
    assert (found.delimiter, found.decimal) == (delimiter, decimal)


@pytest.mark.parametrize(
    ("text", "header", "data"),
    [
        ("time_s,itt\n0,1\n", 1, 2),
        ("\n\ntime_s,itt\n\ns,C\n\n0,1\n", 3, 7),
        ("time_s,itt\n---,N/A\n0,1\n", 1, 2),
        ("itt,1\nn1,2\ntime_s,itt\n0,1\n", 3, 4),
        ("unit,1\ntime_s,itt\n0,1\ntime_s,itt\n0,1\n", 2, 3),
        ("time_s,itt\n0,1\ntime_s,itt\n0,1\n", 1, 2),
        ("itt,n1,degC\ntime_s,itt,n1\n0,1,2\n", 2, 3),
        ("a,b\n1,2\n", 1, 2),
        ("x,y\nfoo,bar\ns,V\n1,2\n", 2, 4),
        ("foo,bar\nON,OFF\n1,2\n", 2, 3),
        ("T5,sec\nx,1\n1,2\n", 1, 2),
    ],
)
def test_the_header_is_the_row_of_names(text: str, header: int, data: int) -> None:
    found = layout(text, itt="T5")
    assert (found.header_line, found.data_line) == (header, data)
    assert text.encode()[found.data_offset :] == "".join(text.splitlines(keepends=True)[data - 1 :]).encode()


def test_columns_carry_their_units_and_kinds() -> None:
    found = layout("Time,ITT,N1,,spare,\nUTC,[°F],%,,-,\n10:00:00,1,---,3,,\n10:00:01,,---,4\n")
    assert found.columns.headers == ("Time", "ITT", "N1", "column 4", "spare")
    assert found.columns.kinds == ("clock", "number", "text", "number", "text")
    assert found.columns.units == {0: "UTC", 1: "[°F]", 2: "%"}
    assert found.width == 6


@pytest.mark.parametrize(
    ("text", "expected"), [('t,itt\n1, "2"\n', True), ('t\titt\n1\t "2"\n', True), ('t,itt\n1,"2 ""x"""\n', False)]
)
def test_blanks_before_quotes_are_seen(text: str, expected: bool) -> None:
    assert layout(text).is_padded is expected


def test_only_the_head_of_a_long_file_is_looked_at() -> None:
    found = layout("x\n" * 300 + "time_s,itt\n" + "0,650.5\n" * 20_000)
    assert (found.header_line, found.delimiter) == (301, ",")


@pytest.mark.parametrize("text", ["x" * 100_000, "1,2\n" * 30_000])
def test_a_long_file_without_a_header_is_refused(text: str) -> None:
    with pytest.raises(TraceError, match="The file holds no table|No header stands above the numbers"):
        layout(text)
