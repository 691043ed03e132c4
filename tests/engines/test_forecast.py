"""When a remaining amount runs out: as a range, held against published figures and against its own other half."""

from datetime import date
from math import sqrt

import pytest

from engines.forecast import Span, Use, first_of, observed_use, runs_out, stated_use, t_value, use_within


@pytest.mark.parametrize(
    # Montgomery and Runger, Applied Statistics and Probability for Engineers, 3rd ed., example 8-8: n = 22,
    # mean 13.71, s = 3.55, t = 2.080; the 95% prediction interval of the next one is 6.16 to 21.26.
    ("use", "days", "low", "high"),
    [(Use(13.71, 3.55, 22), 7, 6.16, 21.26)],
)
def test_the_range_of_the_next_is_the_published_one(use: Use, days: float, low: float, high: float) -> None:
    assert use_within(use, days) == (pytest.approx(low, abs=0.005), pytest.approx(high, abs=0.005))


def test_the_range_over_many_weeks_tends_to_the_interval_of_the_mean() -> None:
    # Same source, example 8-4: the 95% confidence interval of the mean is 12.14 to 15.28.
    low, high = use_within(Use(13.71, 3.55, 22), 7e9)
    assert (low / 1e9, high / 1e9) == (pytest.approx(12.14, abs=0.005), pytest.approx(15.28, abs=0.005))


@pytest.mark.parametrize(
    # NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2, column 0.975.
    ("periods", "t"),
    [(2, 12.706), (6, 2.571), (12, 2.201), (22, 2.080), (31, 2.042)],
)
def test_t_is_the_published_one(periods: int, t: float) -> None:
    assert t_value(periods) == t


@pytest.mark.parametrize("periods", [1, 32])
def test_there_is_no_t_beyond_the_table(periods: int) -> None:
    with pytest.raises(ValueError, match="2 to 31"):
        t_value(periods)


def test_use_is_observed_over_four_weeks_or_not_at_all() -> None:
    assert observed_use([10.0, 12.0, 17.0]) is None
    assert observed_use([10.0, 12.0, 13.0, 17.0]) == Use(13.0, pytest.approx(sqrt(26 / 3)), 4)


@pytest.mark.parametrize("left", [5.0, 40.0, 300.0])
@pytest.mark.parametrize("use", [Use(20.0, 4.0, 12), Use(20.0, 9.0, 6)])
def test_the_ends_are_where_the_range_of_use_reaches_what_is_left(left: float, use: Use) -> None:
    span = runs_out(left, use)
    assert span.latest is not None
    first, last = span.earliest, span.latest
    # The most that may be used reaches it within the first day, the least only on the last.
    assert use_within(use, first)[1] <= left <= use_within(use, first + 1)[1] if first else True
    assert use_within(use, last - 1)[0] <= left <= use_within(use, last)[0]


def test_by_hand() -> None:
    # Mean 10, s 2, n 4, t 3.182, 30 left: 89.875 m² - 640.5 m + 900 = 0 has the roots 1.9255 and 5.2010 weeks,
    # which are 13.5 and 36.4 days.
    assert runs_out(30.0, Use(10.0, 2.0, 4)) == Span(13, 37)


@pytest.mark.parametrize(
    ("left", "use", "span"),
    [
        (0.0, Use(20.0, 4.0, 12), Span(0, 0)),
        (-3.0, Use(20.0, 4.0, 12), Span(0, 0)),
        (10.0, Use(0.0, 0.0, 12), None),
        (20.0, Use(20.0, 0.0, 12), Span(7, 7)),
        (10.0, Use(1.0, 9.0, 3), Span(0, None)),
        (1e9, Use(20.0, 0.0, 12), Span(36_500, None)),
        (20.0, stated_use(10, 20), Span(30, 60)),
        (20.0, stated_use(0, 20), Span(30, None)),
        (20.0, stated_use(0, 0), None),
    ],
)
def test_what_is_left_runs_out_between_two_days(left: float, use: Use, span: Span | None) -> None:
    assert runs_out(left, use) == span


@pytest.mark.parametrize(("low", "high"), [(-1, 5), (6, 5)])
def test_what_cannot_be_used_cannot_be_stated(low: float, high: float) -> None:
    with pytest.raises(ValueError, match="smaller first"):
        stated_use(low, high)


def test_what_is_stated_is_the_range() -> None:
    assert use_within(stated_use(10, 20), 90) == (30, 60)
    assert (stated_use(10, 20).is_stated, Use(1.0).is_stated) == (True, False)


def test_whichever_comes_first_has_the_earliest_of_both_ends() -> None:
    assert first_of([Span(10, 40), None, Span(20, 30), Span(15, None)]) == Span(10, 30)
    assert first_of([Span(10, None)]) == Span(10, None)
    assert first_of([None]) is None


def test_a_span_has_days() -> None:
    assert Span(3, 30).days(date(2026, 5, 4)) == (date(2026, 5, 7), date(2026, 6, 3))
    assert Span(3, None).days(date(2026, 5, 4)) == (date(2026, 5, 7), None)
