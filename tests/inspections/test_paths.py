"""Paths with their gaps, clipped and filled, worked by hand."""

import numpy as np
import pytest

from inspections.paths import NO_ROW, Gap, Path, clip, fill, path_of

NAN = float("nan")


def path(times: list[float], values: list[float], max_gap_s: float = 1.5) -> Path:
    found = path_of(np.array(times, float), np.array(values, float), max_gap_s)
    assert found is not None
    return found


def points(found: Path) -> list[tuple[float, float, int]]:
    """Return each point's time, value and row."""
    return list(zip(found.times.tolist(), found.values.tolist(), found.rows.tolist(), strict=True))


def test_a_channel_without_a_valid_sample_has_no_path() -> None:
    assert path_of(np.array([0.0, 1.0]), np.array([NAN, NAN]), 2.0) is None


@pytest.mark.parametrize(
    ("values", "gaps"),
    [
        # One missing second is bridged by a bound of 2 s, whose microsecond is forgiven.
        ([1, NAN, 3, 4, 5], ()),
        # Between 1 and 4 there are 3 s: a gap at the higher of its ends.
        ([1, NAN, NAN, 4, 5], (Gap(0, 0.0, 3.0, 4.0),)),
        # Before the first valid sample, and after the last, a gap has one end.
        ([NAN, NAN, NAN, 4, 5], (Gap(-1, 0.0, 3.0, 4.0),)),
        ([6, 4, NAN, NAN, NAN], (Gap(1, 1.0, 4.0, 4.0),)),
        ([NAN, NAN, 4, NAN, NAN], ()),
    ],
)
def test_gaps_are_what_is_longer_than_the_bound(values: list[float], gaps: tuple[Gap, ...]) -> None:
    assert path([0, 1, 2, 3, 4], values, 2.0).gaps == gaps


def test_an_edge_between_joined_samples_is_interpolated() -> None:
    # Rows 1 and 3 have no value: 10 → 30 over 2 s is 20 at 1 s, and 30 → 50 is 40 at 3 s.
    found = clip(path([0, 1, 2, 3, 4], [10, NAN, 30, NAN, 50], 2.0), (1, 1.0), (3, 3.0))
    assert points(found) == [(1, 20, NO_ROW), (2, 30, 2), (3, 40, NO_ROW)]
    assert found.joined.tolist() == [True, True]


def test_an_edge_at_an_instant_change_takes_the_value_before_it() -> None:
    # Rows 0 to 2 stand at one time; the edge is the row without a value.
    found = clip(path([0, 0, 0, 1], [10, NAN, 30, 30]), (1, 0.0), (3, 1.0))
    assert points(found) == [(0, 10, NO_ROW), (0, 30, 2), (1, 30, 3)]


def test_an_edge_in_a_gap_has_no_value_and_clips_the_gap() -> None:
    whole = path([0, 1, 2, 3, 4, 5], [10, 20, NAN, NAN, 50, 60])
    found = clip(whole, (2, 2.0), (5, 5.0))
    assert points(found) == [(4, 50, 4), (5, 60, 5)]
    assert found.gaps == (Gap(-1, 2.0, 4.0, 50.0),)
    assert clip(whole, (0, 0.0), (3, 3.0)).gaps == (Gap(1, 1.0, 3.0, 50.0),)
    assert clip(whole, (4, 4.0), (5, 5.0)).gaps == ()


@pytest.mark.parametrize(
    ("limit", "is_closed", "raised_by", "is_filled"),
    [
        (49.9, False, 0.0, True),
        (50.0, False, 0.0, False),
        (50.0, True, 0.0, True),
        (50.0, False, 0.5, True),
    ],
)
def test_a_gap_is_filled_where_its_higher_end_is_beyond(
    limit: float, is_closed: bool, raised_by: float, is_filled: bool
) -> None:
    found = fill(path([0, 1, 4, 5], [10, 20, 50, 10]), limit, raised_by, is_closed=is_closed)
    level = 50 + raised_by
    own = [(0, 10 + raised_by, 0), (1, 20 + raised_by, 1), (4, level, 2), (5, 10 + raised_by, 3)]
    filled = [(1, level, NO_ROW), (4, level, NO_ROW)]
    assert points(found) == ([*own[:2], *filled, *own[2:]] if is_filled else own)
    assert found.joined.tolist() == ([True] * 5 if is_filled else [True, False, True])


def test_gaps_at_the_ends_are_filled_from_their_one_end() -> None:
    found = fill(path([0, 3, 4, 8], [NAN, 50, 60, NAN]), 40, 0.0, is_closed=False)
    assert points(found) == [
        (0, 50, NO_ROW), (3, 50, NO_ROW), (3, 50, 1), (4, 60, 2), (4, 60, NO_ROW), (8, 60, NO_ROW),
    ]  # fmt: skip
    assert found.joined.all()
