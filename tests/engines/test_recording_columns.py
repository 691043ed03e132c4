"""Headers find their channels and say their units."""

import pytest

from engines.charts import Channel
from engines.errors import TraceError
from engines.recording_columns import (
    Columns,
    channel_matched,
    column_unit,
    header_parts,
    headers_listed,
    is_placeholder,
    plain_name,
)
from engines.recording_times import Kind

ITT = Channel("oil_temp", "Oil temperature, inlet", "degC")


def table(*headers: str, units: dict[int, str] | None = None) -> Columns:
    """Return columns of numbers under the headers."""
    kinds: list[Kind] = ["number" for _ in headers]
    return Columns(headers, tuple(kinds), units or {})


@pytest.mark.parametrize("text", ["oil_temp", " Oil Temp", "OIL-TEMP", "oil__temp ", "oil - temp"])
def test_what_does_not_matter_in_a_name_is_left_out(text: str) -> None:
    assert plain_name(text) == "oil temp"


@pytest.mark.parametrize(
    ("header", "parts"),
    [
        ("ITT [degC]", ("ITT", "degC")),
        ("itt(°C)", ("itt", "°C")),
        ("N1 ( % )", ("N1", "%")),
        ("ITT", ("ITT", "")),
        ("(°C)", ("(°C)", "")),
        ("T (avg) [K]", ("T (avg)", "K")),
        ("ITT [degC] left", ("ITT [degC] left", "")),
    ],
)
def test_a_unit_in_brackets_is_parted_from_the_name(header: str, parts: tuple[str, str]) -> None:
    assert header_parts(header) == parts


@pytest.mark.parametrize(
    ("cell", "expected"),
    [("", True), ("---", True), ("N/A", True), ("NaN", True), ("%", False), ("°", False), ("V", False), ("0", False)],
)
def test_marks_for_nothing_are_known(cell: str, expected: bool) -> None:
    assert is_placeholder(cell) is expected


@pytest.mark.parametrize(
    ("headers", "index"),
    [
        (("x", "OIL TEMP", "oil_temp"), 2),
        (("oil temp (degC)", "Oil-Temp"), 1),
        (("Oil temperature, inlet", "oil temp [K]"), 1),
        (("x", "oil temperature, INLET (°F)"), 1),
        (("oil temp (left)", "x"), None),
        (("oil temp 2", ""), None),
    ],
)
def test_the_nearest_header_is_taken(headers: tuple[str, ...], index: int | None) -> None:
    assert channel_matched(table(*headers), ITT) == index


def test_headers_that_fit_equally_well_are_refused() -> None:
    with pytest.raises(TraceError, match=r"Columns 1, 2 and 4 both fit oil_temp \(“Oil temp”\); name one header"):
        channel_matched(table("Oil temp", "oil temp", "x", "OIL-TEMP"), ITT)


@pytest.mark.parametrize(
    ("header", "under", "given", "unit"),
    [
        ("T", "", None, "degC"),
        ("T", "", "K", "kelvin"),
        ("T (°F)", "", "K", "degF"),
        ("T", "deg F", "K", "degF"),
        ("T (°C)", "deg F", None, "degF"),
        ("T", "warmth", "K", "kelvin"),
        ("T (warmth)", "", None, "degC"),
    ],
)
def test_the_file_says_the_unit_before_the_caller_does(header: str, under: str, given: str | None, unit: str) -> None:
    assert column_unit(table(header, units={0: under}), 0, given, "degC") == unit


@pytest.mark.parametrize(("under", "given"), [("warmth", None), ("", "warmth")])
def test_an_unknown_unit_is_refused(under: str, given: str | None) -> None:
    with pytest.raises(TraceError, match="“warmth”, the unit of column “T”, is not known"):
        column_unit(table("T", units={0: under}), 0, given, "degC")


def test_a_long_list_of_headers_is_cut() -> None:
    assert headers_listed(["a", "", "b"]) == "“a”, “b”"
    assert headers_listed(["x"] * 43).endswith("“x” and 3 more")
