"""The twin on cases worked by hand: excursions, duration curves, areas and margins on a gapless trace."""

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

import pytest

from tests.twin import judge
from tests.twin.hand import HUMP, HUMP_TIMES, Corners, Number, chart, engine_type, excursions, picked

F = Fraction
Cells = Sequence[Number | None]
MICRO = F(1, 10**6)


def hump(*areas: Corners, **more: Any) -> dict[str, Any]:
    """Return the one excursion of the hump."""
    (one,) = excursions(chart(*areas, **more), HUMP_TIMES, HUMP)
    return one


def test_an_excursion_is_told_whole() -> None:
    # The line from (0, 8) to (1, 12) meets 10 at 0.5, that from (3, 12) to (4, 8) at 3.5.
    # 12 itself is not above 12. A allows 4 s of which 3 were used; beyond 10 the curve never exceeds 3.
    assert hump([(10, 4), (12, "3.5")]) == {
        "chart": "ITT",
        "channel": "itt",
        "unit": "degC",
        "start_s": F(1, 2),
        "end_s": F(7, 2),
        "open_ended": False,
        "peak": 12,
        "seconds_above": 3,
        "levels": [{"above": 10, "seconds": 3}, {"above": 12, "seconds": 0}],
        "area": None,
        "area_possible": None,
        "possible": 1,
        "margin": {"next_area": "A", "seconds": 1, "value": None},
    }


def test_the_rest_of_a_verdict_without_regimes() -> None:
    verdict = judge(engine_type(), [0, 1], {"itt": [5, 5]})
    assert verdict == {
        "samples": 2,
        "regimes": [],
        "starts": [],
        "usage": None,
        "unobserved": [],
        "ignored": [],
        "notes": [],
        "repeats": "not counted",
        "not_judged": [],
        "excursions": [],
    }


ENTERED: dict[str, tuple[Corners, dict[str, Any], str | None]] = {
    "as long as allowed is within": ([(10, 3)], {}, None),
    "as long as allowed is beyond where the line is": ([(10, 3)], {"on_boundary": "beyond"}, "A"),
    "longer than allowed": ([(10, "2.5")], {}, "A"),
    # D(11) = 2.5.
    "longer than allowed from a first vertex past the limit": ([(11, 2)], {}, "A"),
    # Between the limit and the first vertex nothing is called for.
    "nothing short of the first vertex": ([(13, 0)], {}, None),
    "a plateau on the vertex is not above it": ([(12, 1)], {}, None),
    # D with x >= 12 is 2 s.
    "a plateau on the vertex is at it": ([(12, 1)], {"on_boundary": "beyond"}, "A"),
    "a step holds to the next vertex": ([(10, 3), ("12.5", "1.5")], {}, None),
    # T(11) = 3 - 1.5 / 2.5 * 1 = 2.4 < 2.5.
    "a line to the next vertex": ([(10, 3), ("12.5", "1.5")], {"boundary": "linear"}, "A"),
    # At 10: 3 < 4. At 11: 2.5 = 2.5. Just below 12: 2 s of D against 1. At 12: 0 of D.
    "only at the limit from below": ([(10, 4), (12, 1)], {"boundary": "linear"}, "A"),
    # Just below 12: 2 < 2.5; at 12 the lower of the edge, 0, is not less than D = 0.
    "short of a vertical edge": ([(10, 4), (12, "2.5"), (12, 0)], {"boundary": "linear"}, None),
    "on a vertical edge": ([(10, 4), (12, "2.5"), (12, 0)], {"boundary": "linear", "on_boundary": "beyond"}, "A"),
    # Two corners at the first value: the lower holds, and nothing is looked at below it.
    "a vertical edge at the first vertex": ([(11, 5), (11, 2)], {"boundary": "linear"}, "A"),
    "a microsecond over is not over": ([(10, 3 - MICRO)], {}, None),
    "more than a microsecond over": ([(10, 3 - 2 * MICRO)], {}, "A"),
    "a microsecond under reaches": ([(10, 3 + MICRO)], {"on_boundary": "beyond"}, "A"),
    "more than a microsecond under": ([(10, 3 + 2 * MICRO)], {"on_boundary": "beyond"}, None),
    # By hand: 3 s at 12, so 3 > 2.8 below 12.
    "by peak the whole time is at the peak": ([(10, 5), (11, "2.8")], {"method": "peak"}, "A"),
    "by the curve it is not": ([(10, 5), (11, "2.8")], {}, None),
    "by peak the peak itself is within": ([(12, 0)], {"method": "peak"}, None),
    "by peak the peak itself is beyond": ([(12, 0)], {"method": "peak", "on_boundary": "beyond"}, "A"),
    # Just below the peak T is 4 - 3 / 2.5 * 2 = 1.6; the corner at 12.5 is not reached.
    "by peak on a line": ([(10, 4), ("12.5", 1)], {"method": "peak", "boundary": "linear"}, "A"),
}


@pytest.mark.parametrize(("corners", "more", "area"), ENTERED.values(), ids=ENTERED)
def test_an_area_is_entered(corners: Corners, more: dict[str, Any], area: str | None) -> None:
    one = hump(corners, **more)
    assert (one["area"], one["area_possible"]) == (area, area)


def test_the_default_method_is_peak() -> None:
    by_default = chart([(10, 5), (11, "2.8")])
    del by_default["method"]
    assert picked(excursions(by_default, HUMP_TIMES, HUMP), "area") == [("A",)]


@pytest.mark.parametrize(("first", "second", "area"), [(2, 2, "B"), (2, 3, "A"), (3, 3, None)])
def test_the_most_severe_area_counts(first: int, second: int, area: str | None) -> None:
    assert hump([(10, first)], [(10, second)])["area"] == area


def test_levels_stay_the_true_curve_by_peak() -> None:
    # The limit and every vertex once: 10, 11, 12, 13; at or above 12 for 2 s.
    one = hump([(11, 9), (12, 9)], [(12, 9), (13, 9)], method="peak", on_boundary="beyond")
    assert one["levels"] == [{"above": v, "seconds": s} for v, s in [(10, 3), (11, F(5, 2)), (12, 2), (13, 0)]]


def test_a_touch_of_a_level_for_an_instant_lasts_nothing() -> None:
    # At or above 12 only at t = 1; at or above 10 from 0.5 to 1.5.
    (one,) = excursions(chart([(12, 0)], on_boundary="beyond"), [0, 1, 2], [8, 12, 8])
    assert (one["seconds_above"], one["levels"][1]["seconds"], one["area"]) == (1, 0, None)


MARGINS: dict[str, tuple[Corners, dict[str, Any], Number | None, Number | None]] = {
    # 4 - D(11) = 1.5. The hump outlasts 1 s up to 12, 2 short of the corner at 14.
    "two steps": ([(11, 4), (14, 1)], {}, "1.5", 2),
    # 2.75 - D(11) = 0.25; D falls to 2.75 at 10.5, half a degree short.
    "one step": ([(11, "2.75")], {}, "0.25", "0.5"),
    # T - D is 1.5 at 11 and 3 - 2 just below 12. D lasts 2 s up to 12, and T is 2 at 13: 1 short.
    "a line": ([(11, 4), (14, 1)], {"boundary": "linear"}, 1, 1),
    # T - D is 0 just below 12, never less.
    "a line that is met": ([(11, 4), (13, 0)], {"boundary": "linear"}, 0, 0),
    # T and D fall alike, half a second a degree: 1 s apart everywhere, or 2 degrees: T is 3 at 12, D at 10.
    "a line as steep as the curve": ([(11, "3.5"), (13, "2.5")], {"boundary": "linear"}, 1, 2),
    # T falls from 3.5 at 11 by 0.25 a degree and stops at 2.75, reached at 14; D is 2.75 at 10.5, 3 at 10.
    # 3 is never exceeded, but anything less is: just past 13, where T is 3, a rise of 3 from the limit will do.
    "only just past a level": ([(11, "3.5"), (14, "2.75")], {"boundary": "linear"}, 1, 3),
    "exactly as long as allowed": ([(10, 3)], {}, 0, None),
    "too short at any value": ([(10, 4)], {}, 1, None),
    "no level reached": ([(13, 1)], {}, None, 1),
    # D(12 - d) is more than 1 for any d above 0.
    "a plateau on the first vertex": ([(12, 1)], {}, None, 0),
    # The rectangle lasts 3 s up to 12.
    "by peak": ([(11, 4), (14, 1)], {"method": "peak"}, 1, 2),
    "by peak with the peak on the vertex": ([(12, 1)], {"method": "peak"}, None, 0),
    # At or above 12 for 2 s: 2.5 - 2; at or above 11 for 2.5 s, one short.
    "at the line": ([(12, "2.5")], {"on_boundary": "beyond"}, "0.5", 1),
    # The limit itself, 10, was seen for 3 s.
    "at the limit": ([(11, 3)], {"on_boundary": "beyond"}, "0.5", 1),
    "at the limit, strictly": ([(11, 3)], {}, "0.5", None),
    # Zero seconds are allowed at 13, but some time must be spent there: seen up to 12.
    "no time allowed": ([(13, 0)], {"on_boundary": "beyond"}, None, 1),
}


@pytest.mark.parametrize(("corners", "more", "seconds", "value"), MARGINS.values(), ids=MARGINS)
def test_margins(corners: Corners, more: dict[str, Any], seconds: Number | None, value: Number | None) -> None:
    margin = hump(corners, **more)["margin"]
    expected = [None if x is None else F(x) for x in (seconds, value)]
    assert [margin["seconds"], margin["value"]] == expected


def test_margin_is_to_the_next_area_and_none_past_the_last() -> None:
    assert hump([(10, 1)], [(13, 1)])["margin"] == {"next_area": "B", "seconds": None, "value": 1}
    assert hump([(10, 1)], [(10, 2)])["margin"] is None


def test_a_margin_is_computed_without_the_microsecond_and_never_negative() -> None:
    # Half a microsecond over: not entered, nothing short.
    assert hump([(10, 3 - MICRO / 2)])["margin"] == {"next_area": "A", "seconds": 0, "value": 0}


def test_a_low_limit_is_the_same_with_the_sign_turned() -> None:
    # The hump mirrored about 10: 12, 8, 8, 12. Below 9 for 2.5 s; 2.75 allowed there: a quarter or half a unit short.
    low = chart([(9, "2.75"), (7, 1)], side="below")
    (one,) = excursions(low, HUMP_TIMES, [12, 8, 8, 12])
    assert (one["start_s"], one["end_s"], one["peak"], one["seconds_above"]) == (F(1, 2), F(7, 2), 8, 3)
    assert one["levels"] == [{"below": 10, "seconds": 3}, {"below": 9, "seconds": F(5, 2)}, {"below": 7, "seconds": 0}]
    assert one["margin"] == {"next_area": "A", "seconds": F(1, 4), "value": F(1, 2)}


TWICE_TIMES: Cells = [0, 1, 2, 4, 5, 6]
TWICE: Cells = [8, 12, 8, 8, 12, 8]


@pytest.mark.parametrize(
    ("more", "spans"),
    [
        # From 0.5 to 1.5 and from 4.5 to 5.5: 3 s apart, 1 s each, A after 1.5 s.
        ({}, [(F(1, 2), F(3, 2), 1, None, 1), (F(9, 2), F(11, 2), 1, None, 2)]),
        ({"rejoin_s": 3}, [(F(1, 2), F(11, 2), 2, "A", 1)]),
        ({"rejoin_s": 3 - MICRO}, [(F(1, 2), F(11, 2), 2, "A", 1)]),
        ({"rejoin_s": 3 - 2 * MICRO}, [(F(1, 2), F(3, 2), 1, None, 1), (F(9, 2), F(11, 2), 1, None, 2)]),
        ({"accumulate": "run"}, [(F(1, 2), F(11, 2), 2, "A", 1)]),
    ],
)
def test_rejoin_and_accumulation(more: dict[str, Any], spans: list[tuple[Any, ...]]) -> None:
    found = excursions(chart([(10, "1.5")], **more), TWICE_TIMES, TWICE)
    assert picked(found, "start_s", "end_s", "seconds_above", "area", "possible") == spans


def test_two_that_meet_at_an_instant_are_one() -> None:
    # Above from 0.5 to 2 and from 2 to 3.5.
    found = excursions(chart([(10, 5)]), [0, 1, 2, 3, 4], [8, 12, 10, 12, 8])
    assert picked(found, "start_s", "end_s", "seconds_above") == [(F(1, 2), F(7, 2), 3)]


@pytest.mark.parametrize(
    ("rule", "spans"),
    [
        # Twice above, a second on the line between.
        ("within", [(F(1, 2), 2, F(3, 2)), (3, F(9, 2), F(3, 2))]),
        ("beyond", [(F(1, 2), F(9, 2), 4)]),
    ],
)
def test_time_on_the_limit(rule: str, spans: list[tuple[Any, ...]]) -> None:
    found = excursions(chart([(10, 9)], on_boundary=rule), [0, 1, 2, 3, 4, 5], [8, 12, 10, 10, 12, 8])
    assert picked(found, "start_s", "end_s", "seconds_above") == spans


@pytest.mark.parametrize(
    ("rule", "times", "itt"),
    [
        ("beyond", [0, 1, 2], [8, 10, 8]),
        ("within", [0, 1, 1, 1, 2], [8, 8, 12, 8, 8]),
    ],
)
def test_an_excursion_of_no_time_is_not_listed(rule: str, times: Cells, itt: Cells) -> None:
    assert excursions(chart([(10, 0)], on_boundary=rule), times, itt) == []


@pytest.mark.parametrize(
    ("itt", "peak"),
    [
        # Without leaving the limit, an instant's 20 is the peak.
        ([8, 12, 20, 12, 12, 8], 20),
        # An instant's 20 that comes from under the limit and goes back lifts no peak.
        ([8, 12, 8, 20, 8, 12, 8], 12),
    ],
)
def test_an_instant_change_takes_no_time(itt: Cells, peak: int) -> None:
    times = [0] + [1] * (len(itt) - 2) + [2]
    found = excursions(chart([(10, 5)]), times, itt)
    assert picked(found, "start_s", "end_s", "seconds_above", "peak") == [(F(1, 2), F(3, 2), 1, peak)]


def test_an_instant_out_of_the_area_joins_nothing() -> None:
    # Two humps 3 s apart, an instant's touch 1.5 s from both: rejoined only by the touch if it counted.
    times, itt = [0, 1, 2, 3, 4, 5, 6], [8, 12, 8, 10, 8, 12, 8]
    assert len(excursions(chart([(10, 5)], rejoin_s=2, on_boundary="beyond"), times, itt)) == 2


def test_missing_values_are_skipped() -> None:
    # 8 at 0 and 12 at 2 are joined over the row between.
    assert picked(excursions(chart([(10, 5)]), [0, 1, 2, 3], [8, None, 12, 8]), "start_s") == [(1,)]


def test_documents_are_read_exactly() -> None:
    # A float is what it is: 0.1 is a little more than a tenth.
    (one,) = excursions(chart([(10, 5)]), [0, 0.1, 1], [12, 12, "8"])
    assert one["end_s"] == F(0.1) + (1 - F(0.1)) / 2


def test_what_cannot_be_judged_is_refused() -> None:
    with pytest.raises(ValueError, match="backwards"):
        excursions(chart([(10, 5)]), [0, 2, 1], [8, 8, 8])
    with pytest.raises(ValueError, match="unit"):
        excursions(chart([(10, 5)], unit="degF"), [0], [8])
    with pytest.raises(ValueError, match="not a number"):
        excursions(chart([(10, None)]), [0], [8])  # type: ignore[list-item]
