"""The condition of an engine from its power checks: baselines, trend, shift and days to limit, worked by hand."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from engines.condition import CheckedAt, ConditionTrend, condition_trend
from engines.documents import engine_type_read
from engines.power_assurance import power_check
from engines.power_rules import TrendRules
from tests.power import READ, power_document

BEGAN = datetime(2026, 1, 5, 9, tzinfo=UTC)
DATA = engine_type_read(power_document())
assert DATA.power is not None and DATA.trend is not None
RULES: TrendRules = DATA.trend
# The most that the chart allows at the power of these checks is 600.6 °C corrected.
MOST = power_check(READ, DATA, DATA.power).of("temperature").most or 0.0


def checked(day: float, margin: float, begins: str = "", torque: float = READ.torque) -> CheckedAt:
    """Return a check at standard sea level that has that margin to the chart; of another torque, of another setting."""
    assert DATA.power is not None
    check = power_check(replace(READ, temperature=MOST - margin, torque=torque), DATA, DATA.power)
    return CheckedAt(BEGAN + timedelta(days=day), check, begins)


def trend(checks: list[CheckedAt], overhauled_on: date | None = None, rules: TrendRules = RULES) -> ConditionTrend:
    found = condition_trend(checks, "temperature", rules, overhauled_on)
    assert found is not None
    return found


def falling(count: int, slope: float = -0.1, step: float = 10.0) -> list[CheckedAt]:
    wobble = (0.2, -0.2, 0.0)
    return [checked(k * step, 30 + slope * k * step + wobble[k % 3]) for k in range(count)]


def test_a_margin_that_shrinks_slowly_has_a_trend_and_a_range_of_days() -> None:
    found = trend(falling(10))
    assert found.baseline == pytest.approx((29.2 + 27.8) / 2 + 0.1, abs=0.3)
    assert found.latest == pytest.approx(21.2)
    assert found.change is not None and found.change < -7
    assert found.slope is not None
    assert found.slope.low < -0.1 < found.slope.high
    assert found.slope.slope == pytest.approx(-0.1, abs=0.003)
    assert found.shift is None
    assert found.days is not None
    # 21 °C left at a tenth of a degree a day: some 210 days, sooner and later by the interval's ends.
    days = found.days
    assert days.soonest is not None and days.likely is not None and days.latest is not None
    assert days.soonest < days.likely < days.latest
    assert days.likely == pytest.approx(210, abs=8)


def test_a_margin_that_stays_ends_nowhere() -> None:
    wobble = (0.0, 1.0, -1.0, 0.5, -0.5, 0.2, -0.2, 0.8)
    found = trend([checked(k * 10.0, 30 + wobble[k]) for k in range(8)])
    assert found.days is not None
    assert found.days.latest is None
    assert found.slope is not None and found.slope.low < 0 < found.slope.high


def test_a_margin_that_is_used_up_has_no_days_left() -> None:
    found = trend([checked(k * 10.0, 3.0 - k) for k in range(8)])
    assert found.days is not None
    assert (found.days.soonest, found.days.likely, found.days.latest) == (0, 0, 0)
    assert found.latest == pytest.approx(-4)


def test_beyond_ten_years_nothing_is_foretold() -> None:
    found = trend([checked(k * 10.0, 30 - 0.001 * k) for k in range(8)])
    assert found.days is not None
    assert found.days.likely is None


@pytest.mark.parametrize(("count", "has"), [(5, False), (6, True)])
def test_a_trend_needs_as_many_checks_as_the_rules_say(count: int, *, has: bool) -> None:
    found = trend(falling(count))
    assert (found.slope is not None, found.days is not None) == (has, has)


@pytest.mark.parametrize(("count", "has"), [(3, False), (4, True)])
def test_a_baseline_needs_as_many_checks_as_the_rules_say(count: int, *, has: bool) -> None:
    found = trend(falling(count))
    assert (found.baseline is not None, found.change is not None) == (has, has)


def test_a_step_is_called_a_shift_and_the_trend_begins_after_it() -> None:
    wobble = (0.0, 0.4, -0.4)
    checks = [checked(k * 5.0, (30 if k < 7 else 18) + wobble[k % 3]) for k in range(14)]
    found = trend(checks)
    assert found.shift is not None
    assert (found.shift.before, found.shift.size) == (7, pytest.approx(-12, abs=0.5))
    assert found.shifted_at == (BEGAN + timedelta(days=30), BEGAN + timedelta(days=35))
    assert found.slope is not None and abs(found.slope.slope) < 0.05
    assert found.baseline == pytest.approx(30, abs=0.4)


def test_a_slow_fall_is_no_shift_although_pettitts_test_takes_it_for_one() -> None:
    assert trend(falling(14)).shift is None


def test_too_few_checks_after_a_shift_foretell_nothing() -> None:
    checks = [checked(k * 5.0, 30 if k < 10 else 18) for k in range(14)]
    found = trend(checks, rules=replace(RULES, shift=0.2))
    assert found.shift is not None
    assert (found.slope, found.days) == (None, None)


def test_checks_at_other_settings_are_shown_and_do_not_count() -> None:
    # At 45 % the power is below the 250 hp from which settings compare.
    checks = [*falling(6), checked(70, 5.0, torque=45.0)]
    found = trend(checks)
    assert [point.is_counted for point in found.points] == [True] * 6 + [False]
    assert len(found.counted) == 6
    assert found.latest == found.counted[-1].margin


def test_a_baseline_begins_with_the_change_that_was_recorded() -> None:
    checks = [*falling(8), checked(90, 33.0, "Fuel nozzles changed"), *(checked(90 + k, 33.0) for k in (1, 2, 3))]
    found = trend(checks)
    assert (found.since, found.since_words) == (BEGAN + timedelta(days=90), "Fuel nozzles changed")
    assert (len(found.counted), found.baseline, found.change) == (4, pytest.approx(33), pytest.approx(0))


def test_a_baseline_begins_with_the_overhaul_where_that_came_later() -> None:
    checks = [checked(0, 20.0, "Nozzles"), *falling(8)[1:]]
    overhauled = (BEGAN + timedelta(days=40)).date()
    found = trend(checks, overhauled)
    assert (found.since, found.since_words) == (BEGAN + timedelta(days=40), f"the overhaul of {overhauled}")
    assert len(found.counted) == 4
    earlier = trend(checks, (BEGAN - timedelta(days=400)).date())
    assert earlier.since_words == "Nozzles"


def test_after_an_overhaul_without_a_check_nothing_counts() -> None:
    found = trend(falling(8), (BEGAN + timedelta(days=100)).date())
    assert (found.counted, found.latest, found.baseline, found.slope) == ((), None, None, None)


def test_without_an_overhaul_it_begins_with_the_first_check() -> None:
    found = trend(falling(4))
    assert (found.since, found.since_words) == (None, "the first check")


def test_a_quantity_that_the_chart_lacks_has_no_trend() -> None:
    assert condition_trend(falling(4), "fuel_flow", RULES, None) is None
    assert condition_trend([], "temperature", RULES, None) is None
