"""Who may sign what: 14 CFR 43.3, 43.7, 65.83, 65.87, 65.95, 135.429; M.A.801, ML.A.801; CAR 571.10."""

from datetime import date

import pytest

from logbook.statements import coverage as c
from logbook.statements.coverage import Hands, coverage_fault, experience_warning, hands_faults
from logbook.statements.elements import (
    AUSTRALIA,
    CANADA,
    CONDITIONAL,
    EASA,
    OTHER,
    PILOT_OWNER,
    PROVISIONAL,
    US,
    US_PROGRAMME,
)

COVERED = {
    "R_65_87_work": (c.POWERPLANT, c.MAINTENANCE, US),
    "R_65_87_hundred_hour": (c.POWERPLANT, c.HUNDRED_HOUR, US),
    "R_65_95_major": (c.AUTHORIZATION, c.MAJOR, US),
    "R_65_95_annual": (c.AUTHORIZATION, c.ANNUAL, US),
    "R_65_95_progressive": (c.AUTHORIZATION, c.PROGRESSIVE_KIND, US),
    "R_43_7_station": (c.REPAIR_STATION, c.MAJOR, US),
    "R_43_7_manufacturer": (c.MANUFACTURER, c.MAJOR, US),
    "R_43_7_air_carrier": (c.AIR_CARRIER, c.MAINTENANCE, US),
    "R_43_7_pilot": (c.PILOT, c.PREVENTIVE, US),
    "R_135_443": (c.POWERPLANT, c.MAINTENANCE, US_PROGRAMME),
    "R_801_b_organisation": (c.CERTIFYING, c.MAINTENANCE, EASA),
    "R_801_b_independent": (c.INDEPENDENT, c.SPECIAL, EASA),
    "R_801_b_pilot_owner": (c.OWNER, PILOT_OWNER, EASA),
    "R_801_c": (c.AUTHORISED, PROVISIONAL, EASA),
    "R_571_10": (c.ENGINEER, CONDITIONAL, CANADA),
    "R_42_760_authorised": (c.CERTIFYING, c.MAINTENANCE, AUSTRALIA),
    "R_42_760_licensed": (c.ENGINEER, c.SPECIAL, AUSTRALIA),
    "other": (c.LOCAL, c.ANNUAL, OTHER),
}
NOT_COVERED = {
    "R_65_87_major": (c.POWERPLANT, c.MAJOR, US),
    "R_65_87_annual": (c.POWERPLANT, c.ANNUAL, US),
    "R_65_87_airframe": (c.AIRFRAME, c.MAINTENANCE, US),
    "R_43_7_pilot": (c.PILOT, c.MAINTENANCE, US),
    "R_135_443_authorization": (c.AUTHORIZATION, c.MAINTENANCE, US_PROGRAMME),
    "R_801_b_pilot_owner": (c.OWNER, c.MAINTENANCE, EASA),
    "R_801_c": (c.AUTHORISED, c.MAINTENANCE, EASA),
    "R_801_b_other_rules": (c.POWERPLANT, c.MAINTENANCE, EASA),
    "R_571_10": (c.CERTIFYING, c.MAINTENANCE, CANADA),
    "R_42_760": (c.POWERPLANT, c.MAINTENANCE, AUSTRALIA),
}


@pytest.mark.parametrize(("covers", "act", "ruleset"), COVERED.values(), ids=COVERED)
def test_a_certificate_covers(covers: str, act: str, ruleset: str) -> None:
    assert coverage_fault([covers], act, ruleset) == ""


@pytest.mark.parametrize(("covers", "act", "ruleset"), NOT_COVERED.values(), ids=NOT_COVERED)
def test_a_certificate_does_not_cover(covers: str, act: str, ruleset: str) -> None:
    fault = coverage_fault([covers], act, ruleset)
    assert fault.startswith(f"Your certificate covers: {c.COVERS[covers]}. That does not cover {c.ACTS[act]}")


def test_R_65_87_the_reason_says_what_would_cover_it() -> None:
    assert coverage_fault([c.POWERPLANT, c.AIRFRAME], c.ANNUAL, US) == (
        "Your certificate covers: Mechanic, powerplant rating; Mechanic, airframe rating. That does not cover an "
        "annual inspection, which needs: Inspection authorization or Repair station, for its ratings or Manufacturer, "
        "for its own product."
    )


def test_a_certificate_that_says_nothing_covers_nothing() -> None:
    assert coverage_fault([], c.MAINTENANCE, US).startswith("What your certificate covers is not entered")


def test_an_act_of_other_rules_is_named_as_such() -> None:
    assert coverage_fault([c.OWNER], PILOT_OWNER, US) == (
        "United States, general (14 CFR 43.9, 43.11) knows no pilot-owner maintenance."
    )


@pytest.mark.parametrize(("act", "ruleset"), [("painting", US), (c.ANNUAL, "mars")])
def test_what_nobody_signs_is_an_error(act: str, ruleset: str) -> None:
    with pytest.raises(ValueError, match="no act that anybody signs"):
        coverage_fault([c.POWERPLANT], act, ruleset)


def test_R_43_3_d_a_helper_cannot_sign() -> None:
    faults = hands_faults("Tamsin Vale", Hands(helpers=("tamsin  VALE",)), is_required_item=False)
    assert list(faults) == ["helpers"]
    assert hands_faults("Tamsin Vale", Hands(helpers=("Bo Fenn",)), is_required_item=False) == {}


@pytest.mark.parametrize(
    "hands",
    [
        Hands(),
        Hands(performers=("Tamsin Vale",), second="Tamsin Vale"),
        Hands(helpers=("Bo Fenn",), second="bo fenn"),
        Hands(second="Maren Lo"),
    ],
)
def test_R_135_429_c_two_different_people(hands: Hands) -> None:
    assert list(hands_faults("Maren Lo", hands, is_required_item=True)) == ["second"]
    assert hands_faults("Maren Lo", hands, is_required_item=False) == {}


def test_R_135_429_c_is_met_by_somebody_without_a_hand_in_it() -> None:
    hands = Hands(performers=("Tamsin Vale",), second="Ivo Sand")
    assert hands_faults("Maren Lo", hands, is_required_item=True) == {}


TODAY = date(2026, 11, 25)
MONTHS = [date(2026, month, 3) for month in range(5, 11)]


@pytest.mark.parametrize(
    ("days", "said"),
    [
        (MONTHS, ""),
        (MONTHS[1:], "5 of the last 24 months"),
        ([*MONTHS[1:], MONTHS[1]], "5 of the last 24 months"),
        ([*MONTHS[1:], date(2024, 11, 24)], "5 of the last 24 months"),
        ([], "none of the last 24 months"),
    ],
)
def test_R_65_83_little_recorded_work_is_a_warning(days: list[date], said: str) -> None:
    warning = experience_warning(days, TODAY)
    assert said in warning
    assert bool(warning) == bool(said)
