"""Opening balances (FAA AC 43-9C paragraph 12, 14 CFR 91.421) and changes of hour meter."""

import dataclasses
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from logbook.statements.balances import (
    NEW,
    RECONSTRUCTED,
    RECORDS,
    ZERO,
    MeterChange,
    Opening,
    meter_faults,
    opening_faults,
)

TODAY = date(2026, 11, 25)
OPENING = Opening(RECORDS, {"run_time_s": 3600, "starts": 0}, TODAY, document="Invented log book 1")
METER = MeterChange(Decimal("812.4"), Decimal("0.0"), TODAY, "Meter failed")

WRONG: dict[str, tuple[dict[str, Any], str]] = {
    "basis": ({"basis": "guess"}, "basis"),
    "figure": ({"used": {"run_time_s": None}}, "run_time_s"),
    "day": ({"on": None}, "on"),
    "day_to_come": ({"on": date(2026, 11, 26)}, "on"),
    "document": ({"document": ""}, "document"),
    "R_43_9C_12_text": ({"basis": RECONSTRUCTED}, "basis_text"),
    "R_43_9C_12_document": ({"basis": RECONSTRUCTED, "basis_text": "Fuel bills", "document": ""}, "document"),
    "R_91_421_zero": ({"basis": ZERO}, "basis"),
    "new": ({"basis": NEW}, "basis"),
}


@pytest.mark.parametrize(("change", "field"), WRONG.values(), ids=WRONG)
def test_an_opening_balance_that_lacks_something_is_refused(change: dict[str, Any], field: str) -> None:
    assert list(opening_faults(dataclasses.replace(OPENING, **change), TODAY)) == [field]


@pytest.mark.parametrize(
    "change",
    [
        pytest.param({}, id="records"),
        pytest.param({"basis": RECONSTRUCTED, "basis_text": "From fuel bills"}, id="R_43_9C_12"),
        pytest.param({"basis": ZERO, "used": {"run_time_s": 0}, "document": ""}, id="R_91_421"),
        pytest.param({"basis": NEW, "used": {"run_time_s": 0}, "document": ""}, id="new"),
    ],
)
def test_an_opening_balance_that_says_all_may_be_signed(change: dict[str, Any]) -> None:
    assert opening_faults(dataclasses.replace(OPENING, **change), TODAY) == {}


@pytest.mark.parametrize(
    ("change", "field"), [({"old": None}, "old"), ({"new": None}, "new"), ({"on": None}, "on"), ({"why": " "}, "why")]
)
def test_a_change_of_meter_says_old_new_day_and_why(change: dict[str, Any], field: str) -> None:
    assert meter_faults(METER, TODAY) == {}
    assert list(meter_faults(dataclasses.replace(METER, **change), TODAY)) == [field]


def test_the_offset_goes_on_from_the_old_meter() -> None:
    assert METER.offset == Decimal("812.4")
    assert MeterChange(None, None, None).offset == 0
