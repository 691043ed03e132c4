import numpy as np
import pytest

from inspections.drawing.series import Series, clipped, thinned_rows


def test_one_high_and_one_low_sample_among_many_are_kept() -> None:
    times = np.arange(20_000.0)
    values = np.zeros(20_000)
    values[12_345], values[777] = 9.0, -9.0
    rows = thinned_rows(times, values, 450)
    assert {12_345, 777, 0, 19_999} <= set(rows.tolist())
    assert rows.size <= 1800
    assert (np.diff(rows) > 0).all()


@pytest.mark.parametrize("size", [0, 1, 8])
def test_a_short_series_is_drawn_whole(size: int) -> None:
    assert thinned_rows(np.arange(size, dtype=float), np.ones(size), 2).tolist() == list(range(size))


def test_samples_of_one_instant_are_thinned_to_their_extremes() -> None:
    values = np.array([1.0, 5, 2, -3, 2, 2, 2, 2, 2])
    assert thinned_rows(np.zeros(9), values, 1).tolist() == [0, 1, 3, 8]


def test_gaps_and_missing_values_part_a_series_where_they_lie() -> None:
    times = np.arange(10.0)
    values = np.array([np.nan, 1, 2, np.nan, np.nan, np.nan, 6, np.nan, 8, 9])
    series = Series.of(times, values, [(2, 6), (0, 1), (9, 12)], (0, 9))
    assert [piece.times.tolist() for piece in series.pieces()] == [[1, 2], [6, 8, 9]]
    assert [piece.times.tolist() for piece in series.between(2, 8).pieces()] == [[2], [6, 8]]
    assert [piece.times.tolist() for piece in series.thinned(2).pieces()] == [[1, 2], [6, 8, 9]]


def test_a_window_leaves_out_what_lies_beyond_it() -> None:
    series = Series.of(np.arange(10.0), np.arange(10.0), [], (3, 5))
    assert series.values.tolist() == [3, 4, 5]


@pytest.mark.parametrize(
    ("window", "points"),
    [
        ((0.5, 2.5), [(0.5, 5.0), (1.0, 10.0), (2.0, 20.0), (2.5, 25.0)]),
        ((-1.0, 0.5), [(0.0, 0.0), (0.5, 5.0)]),
        ((4.0, 9.0), []),
    ],
)
def test_clipping_reads_the_record_at_the_edges(window: tuple[float, float], points: list[tuple[float, float]]) -> None:
    whole = Series.of(np.arange(4.0), 10 * np.arange(4.0), [], (0, 3))
    assert clipped(whole, whole, window) == points
