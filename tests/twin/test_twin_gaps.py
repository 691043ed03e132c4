"""The twin on cases worked by hand: gaps, the possible result, tolerance and open ends. The longest step is 2 s."""

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

import pytest

from tests.twin import judge
from tests.twin.hand import Corners, Number, chart, engine_type, excursions, picked

F = Fraction
Cells = Sequence[Number | None]
MICRO = F(1, 10**6)
EXTENT = ("start_s", "end_s", "seconds_above", "area", "area_possible", "possible")


def gaps(times: Cells, itt: Cells) -> list[tuple[Any, ...]]:
    """Return begin and end of the unobserved time of itt."""
    found = judge(engine_type(), times, {"itt": itt})["unobserved"]
    return [(gap["start_s"], gap["end_s"]) for gap in found if gap["channel"] == "itt"]


@pytest.mark.parametrize(
    ("times", "itt", "expected"),
    [
        ([0, 2], [8, 8], []),
        ([0, 2 + MICRO], [8, 8], []),
        ([0, 2 + 2 * MICRO], [8, 8], [(0, 2 + 2 * MICRO)]),
        ([0, 1, 2, 3], [8, None, None, 8], [(0, 3)]),
        # Before the first and after the last sample, where longer than 2 s.
        ([0, 3, 4, 7], [None, 8, 8, None], [(0, 3), (4, 7)]),
        ([0, 2, 3, 5], [None, 8, 8, None], []),
    ],
)
def test_unobserved_time(times: Cells, itt: Cells, expected: list[tuple[Number, Number]]) -> None:
    assert gaps(times, itt) == expected


def test_each_channel_may_have_its_own_longest_step() -> None:
    document = engine_type() | {"max_gap_s": 1}
    document["channels"][0]["max_gap_s"] = 3
    found = judge(document, [0, 3], {"itt": [8, 8], "n1": [5, 5]})["unobserved"]
    assert found == [{"channel": "n1", "start_s": 0, "end_s": 3}]


def test_a_channel_without_values_is_unobserved_and_one_without_column_not_judged() -> None:
    verdict = judge(engine_type(chart([(10, 0)])), [0, 1, 9], {"itt": [None] * 3})
    assert verdict["unobserved"] == [{"channel": "itt", "start_s": 0, "end_s": 9}]
    assert picked(verdict["not_judged"], "chart") == [("ITT",)]
    verdict = judge(engine_type(chart([(10, 0)])), [0, 1, 9], {})
    assert (verdict["unobserved"], picked(verdict["not_judged"], "chart")) == ([], [("ITT",)])


@pytest.mark.parametrize(
    ("times", "itt", "expected"),
    [
        # Above from 0.5, seen to 1; possibly at 12 until 4: 3.5 s, where A is beyond 3 s.
        ([0, 1, 4, 5], [8, 12, 8, 8], [(F(1, 2), 1, F(1, 2), None, "A", 1)]),
        # Seen above at both ends of the gap: one event, from 0.5 to 4.5.
        ([0, 1, 4, 5], [8, 12, 12, 8], [(F(1, 2), 1, F(1, 2), None, "A", 1), (4, F(9, 2), F(1, 2), None, "A", 1)]),
        # A gap with no end above changes nothing, and the excursion after it is the first event.
        ([0, 3, 4, 5], [8, 8, 12, 8], [(F(7, 2), F(9, 2), 1, None, None, 1)]),
        # Before the first sample and after the last.
        ([0, 4, 5], [None, 12, 8], [(4, F(9, 2), F(1, 2), None, "A", 1)]),
        ([0, 1, 5], [8, 12, None], [(F(1, 2), 1, F(1, 2), None, "A", 1)]),
        # A lone sample lasts no time, and is listed as a gap touches it.
        ([0, 3, 6], [8, 12, 8], [(3, 3, 0, None, "A", 1)]),
        # So is one next to a gap that is left in an instant.
        ([0, 3, 3, 4], [8, 12, 8, 8], [(3, 3, 0, None, None, 1)]),
    ],
)
def test_gaps_beyond_the_limit(times: Cells, itt: Cells, expected: list[tuple[Any, ...]]) -> None:
    assert picked(excursions(chart([(10, 3)]), times, itt), *EXTENT) == expected


def test_a_gap_on_the_line_is_beyond_where_the_line_is() -> None:
    found = excursions(chart([(10, 3)], on_boundary="beyond"), [0, 3, 4], [8, 10, 8])
    assert picked(found, *EXTENT) == [(3, 3, 0, None, "A", 1)]


def test_a_gap_is_spent_at_the_higher_of_its_ends() -> None:
    # Above 12 for the 3 s of the gap, though it ended at 11.
    found = excursions(chart([(12, 2)]), [0, 1, 4, 5], [8, 13, 11, 8])
    assert picked(found, "area", "area_possible") == [(None, "A"), (None, "A")]


def test_an_excursion_of_no_time_has_nothing_to_measure_a_margin_by() -> None:
    (one,) = excursions(chart([(10, 3)]), [0, 3, 6], [8, 12, 8])
    assert one["margin"] == {"next_area": "A", "seconds": None, "value": None}
    assert (one["peak"], one["levels"]) == (12, [{"above": 10, "seconds": 0}])


def test_rejoin_goes_over_gaps_without_counting_them() -> None:
    # Above from 0.5 to 1.5 and from 5.5 to 6.5; the gap from 2 to 5 stays under the limit.
    found = excursions(chart([(10, "1.5")], rejoin_s=4), [0, 1, 2, 5, 6, 7], [8, 12, 8, 8, 12, 8])
    assert picked(found, *EXTENT) == [(F(1, 2), F(13, 2), 2, "A", "A", 1)]


def test_possible_events_are_rejoined_too() -> None:
    # Proven: 0.5 to 1 and 5.5 to 6.5, 4.5 s apart. Possibly the first lasts to 4: 1.5 s apart, 4.5 s in all.
    found = excursions(chart([(10, 4)], rejoin_s=2), [0, 1, 4, 5, 6, 7], [8, 12, 8, 8, 12, 8])
    assert picked(found, *EXTENT) == [
        (F(1, 2), 1, F(1, 2), None, "A", 1),
        (F(11, 2), F(13, 2), 1, None, "A", 1),
    ]


def test_the_run_has_one_possible_event() -> None:
    found = excursions(chart([(10, 4)], accumulate="run"), [0, 1, 4, 5, 6, 7], [8, 12, 8, 8, 12, 8])
    assert picked(found, *EXTENT) == [(F(1, 2), F(13, 2), F(3, 2), None, "A", 1)]


RAISED: dict[str, tuple[Corners, Cells, list[tuple[Any, ...]]]] = {
    # 12 read, 13 possible: above 12 for a second.
    "area by the raised samples only": ([(12, "0.5")], [8, 12, 12, 8], [(F(1, 2), F(5, 2), 2, None, "A", 1)]),
    # 9.5 read, 10.5 possible: from (1, 10.5) down to (2, 9.5) in half a second of each slope.
    "nothing proven, an area possible": ([(10, "0.5")], [8.5, 9.5, 8.5], [(F(1, 2), F(3, 2), 0, None, "A", 1)]),
    "nothing proven, no area possible": ([(10, 1)], [8.5, 9.5, 8.5], []),
    # The first event, 0.5 to 1.5, enters nothing and is not listed, but counts.
    "numbers count what is not listed": (
        [("11", "0.5")],
        [8.5, 9.5, 8.5, 8, 12, 8],
        [(F(7, 2), F(9, 2), 1, None, "A", 2)],
    ),
}


@pytest.mark.parametrize(("corners", "itt", "expected"), RAISED.values(), ids=RAISED)
def test_the_possible_result_is_of_raised_samples(
    corners: Corners, itt: Cells, expected: list[tuple[Any, ...]]
) -> None:
    found = excursions(chart(corners), list(range(len(itt))), itt, tolerance=1)
    assert picked(found, *EXTENT) == expected


def test_an_excursion_that_is_only_possible_is_told_whole() -> None:
    (one,) = excursions(chart([(10, 0), (11, 0)]), [0, 1, 2], [8.5, 9.5, 8.5], tolerance=1)
    assert one == {
        "chart": "ITT",
        "channel": "itt",
        "unit": "degC",
        "start_s": F(1, 2),
        "end_s": F(3, 2),
        "open_ended": False,
        "peak": F(19, 2),
        "seconds_above": 0,
        "levels": [{"above": 10, "seconds": 0}, {"above": 11, "seconds": 0}],
        "area": None,
        "area_possible": "A",
        "possible": 1,
        "margin": None,
    }


def test_a_raised_low_limit_is_lower() -> None:
    found = excursions(chart([(10, 0)], side="below"), [0, 1, 2], [11.5, 10.5, 11.5], tolerance=1)
    assert picked(found, "peak", "start_s", "end_s") == [(F(21, 2), F(1, 2), F(3, 2))]


def test_raised_ends_of_a_gap_fill_it() -> None:
    # Read 9.5 at either end: possibly 10.5 for the whole gap and half a second on each side.
    found = excursions(chart([(10, "3.5")]), [0, 1, 4, 5], [8.5, 9.5, 9.5, 8.5], tolerance=1)
    assert picked(found, *EXTENT) == [(F(1, 2), F(9, 2), 0, None, "A", 1)]


@pytest.mark.parametrize(
    ("itt", "tolerance", "expected"),
    [
        ([12, 8, 8], 0, [True]),
        ([8, 8, 12], 0, [True]),
        ([8, 12, 8], 0, [False]),
        # First and last valid sample, whatever the rows.
        ([None, 12, 8], 0, [True]),
        # On the line it is not beyond.
        ([10, 12, 8], 0, [False]),
        ([10, 12, 8], 1, [False]),
        # Only possible, by its raised first sample.
        ([9.5, 8, 8], 1, [True]),
        ([8, 9.5, 8], 1, [False]),
    ],
)
def test_open_ends(itt: Cells, tolerance: Number, expected: list[bool]) -> None:
    found = excursions(chart([(10, 0)]), [0, 1, 2], itt, tolerance)
    assert [one["open_ended"] for one in found] == expected
