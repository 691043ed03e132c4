"""An engine's own calibration: worked by hand, between its pairs, on them and beyond them."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from engines.calibration import Calibration, Indication, calibrated, calibration_faults, pairs_typed

TODAY = date(2026, 5, 4)
TORQUE = Calibration("torque", "psi", "percent", ((0, 0), (10, 40), (22, 100)), TODAY, "Sheet 7, invented")
TYPE = (Indication("torque", ("psi",)), Indication("itt"))


@pytest.mark.parametrize(
    ("read", "value"),
    [(0, 0), (5, 20), (10, 40), (16, 70), (22, 100), (24, 110), (-1, -4)],  # 60 % over 12 psi is 5 % a psi
)
def test_a_broken_line_through_the_pairs_carried_on_beyond_them(read: float, value: float) -> None:
    assert TORQUE.value(float(read)) == pytest.approx(value)
    assert TORQUE.indicated(float(value)) == pytest.approx(read)


def test_a_reading_lies_within_what_was_calibrated_or_beyond() -> None:
    assert [TORQUE.holds(read) for read in (-0.1, 0, 22, 22.1)] == [False, True, True, False]


def test_a_column_in_another_unit_of_the_same_kind_is_converted_first() -> None:
    found = calibrated(np.array([68.947572932, np.nan]), "kPa", TORQUE)  # 10 psi by NIST SP 811: 6.894757 kPa a psi
    assert found is not None
    assert found[0] == pytest.approx(40, abs=1e-6)
    assert np.isnan(found[1])


def test_what_is_no_indication_of_it_stays() -> None:
    assert calibrated(np.array([1.0]), "percent", TORQUE) is None
    assert calibrated(np.array([1.0]), "psi", None) is None


def test_pairs_are_typed_one_a_line() -> None:
    assert pairs_typed("0 = 0\n\n12,5 = 40.5\n") == ((0, 0), (12.5, 40.5))


@pytest.mark.parametrize(
    ("text", "said"), [("5 40", "Line 1, “5 40”: write what is read"), ("0 = 0\nten = 4", "Line 2: ")]
)
def test_a_line_that_cannot_be_read_is_named(text: str, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        pairs_typed(text)


@pytest.mark.parametrize(
    ("changes", "field", "said"),
    [
        ({"channel": "itt"}, "channel", "Choose a channel"),
        ({"channel": "np"}, "channel", "Choose a channel"),
        ({"reads": "degC"}, "reads", "it is read in psi"),
        ({"reads": "flurb"}, "reads", "it is read in psi"),
        ({"pairs": ((0, 0),)}, "pairs", "at least two pairs"),
        ({"pairs": ((0, 0), (0, 1))}, "pairs", "must increase"),
        ({"pairs": ((0, 1), (1, 1))}, "pairs", "must increase"),
        ({"begins_on": None}, "on", "Give the day"),
        ({"begins_on": date(2026, 5, 5)}, "on", "still to come"),
        ({"source": " "}, "source", "Name the sheet"),
    ],
)
def test_what_stands_against_a_calibration(changes: dict[str, object], field: str, said: str) -> None:
    faults = calibration_faults(replace(TORQUE, **changes), TYPE, TODAY)  # type: ignore[arg-type]
    assert list(faults) == [field]
    assert said in faults[field]


def test_nothing_stands_against_one_that_says_all() -> None:
    assert calibration_faults(TORQUE, TYPE, TODAY) == {}
    assert calibration_faults(replace(TORQUE, reads="bar"), TYPE, TODAY) == {}
