"""Numbers as people type them."""

from decimal import Decimal

import pytest

from engines.numbers_typed import count_typed, number_typed


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("12,5", "12.5"),
        ("12.5", "12.5"),
        (" 718 ", "718"),
        ("0", "0"),
        ("-3", "-3"),
        ("\N{MINUS SIGN}3,25", "-3.25"),
        ("+4", "4"),
        (".5", "0.5"),
        (",5", "0.5"),
        ("0.125", "0.125"),
        ("1234.125", "1234.125"),
        ("1.2340", "1.234"),
        ("123456789012", "123456789012"),
    ],
)
def test_a_point_and_a_comma_mean_the_same(text: str, number: str) -> None:
    assert number_typed(text) == Decimal(number)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("1.234,5", "both a point and a comma"),
        ("1,234.5", "both a point and a comma"),
        ("1..2", "more than one decimal mark"),
        ("1.234.567", "more than one decimal mark"),
        ("--3", "more than one sign"),
        ("12.", "ends with its decimal mark"),
        ("1 234", "a space in it"),
        ("1,234", "can be read as 1234 or as 1.234"),
        ("12.345", "without a mark, or 12.34 with fewer decimals"),
        ("", "is not a number"),
        ("-", "is not a number"),
        ("nan", "is not a number"),
        ("1e5", "is not a number"),
        ("1_000", "is not a number"),
        ("٣", "is not a number"),
        ("1234567890123", "more than 12 digits"),
    ],
)
def test_what_could_mislead_is_refused_in_words(text: str, says: str) -> None:
    with pytest.raises(ValueError, match="^“") as refusal:
        number_typed(text)
    assert says in str(refusal.value)


@pytest.mark.parametrize(("text", "count"), [("0", 0), ("3", 3), (" 12 ", 12), ("2.0", 2)])
def test_counts_are_whole(text: str, count: int) -> None:
    assert count_typed(text) == count


@pytest.mark.parametrize(
    ("text", "says"), [("-1", "is below 0"), ("1.5", "is not a whole number"), ("two", "is not a number")]
)
def test_counts_are_refused_in_words(text: str, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        count_typed(text)
