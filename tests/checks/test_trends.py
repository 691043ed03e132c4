"""Theil-Sen slopes and Pettitt's test against published examples and a reference library (scipy 1.17).

* P. K. Sen, JASA 63 (1968): x 1 2 3 4 10 12 18, y 9 15 19 20 45 55 78; slope 4, 93 % interval 3.71 to 4.38 (as quoted
  in the tests of scipy and of the R package deming; his table for the width and the normal approximation agree here).
* Holy Cross College, Mann-Kendall by hand: 14 values; Sen's slope 17/30 by the median of exact fractions.
* A. N. Pettitt, Applied Statistics 28 (1979), table 1: K 232, p 0.0146, change after the 17th (as quoted in the R
  package wq, which says that these are Pettitt's own results).
"""

from itertools import combinations

import numpy as np
import pytest
from scipy import stats

from engines.trends import pettitt, theil_sen

SEN = ([1, 2, 3, 4, 10, 12, 18], [9, 15, 19, 20, 45, 55, 78])
HOLY_CROSS = [12.9, 14.8, 13.2, 15.7, 13.8, 15.6, 12.9, 11.0, 17.3, 15.9, 19.0, 18.3, 20.1, 21.7]
PETTITT = [
    -1.05, 0.96, 1.22, 0.58, -0.98, -0.03, -1.54, -0.71, -0.35, 0.66, 0.44, 0.91, -0.02, -1.42, 1.26, -1.02, -0.81,
    1.66, 1.05, 0.97, 2.14, 1.22, -0.24, 1.60, 0.72, -0.12, 0.44, 0.03, 0.66, 0.56, 1.37, 1.66, 0.10, 0.80, 1.29, 0.49,
    -0.07, 1.18, 3.29, 1.84,
]  # fmt: skip


def test_sens_own_example() -> None:
    found = theil_sen(*SEN, confidence=0.93)
    assert found is not None
    assert (found.slope, found.at_zero) == (4, 4)
    assert (found.low, found.high) == (pytest.approx(26 / 7), pytest.approx(35 / 8))
    assert (round(found.low, 2), round(found.high, 2)) == (3.71, 4.38)
    assert found.at(2.0) == 12


def test_the_example_by_hand() -> None:
    found = theil_sen(range(1, 15), HOLY_CROSS, 0.95)
    assert found is not None
    assert found.slope == pytest.approx(17 / 30)
    # Kendall's S is the count of rising pairs less that of falling ones: 54 as printed.
    signs = [np.sign(round(b - a, 9)) for a, b in combinations(HOLY_CROSS, 2)]
    assert sum(signs) == 54


@pytest.mark.parametrize("seed", range(12))
def test_a_reference_library_says_the_same(seed: int) -> None:
    draws = np.random.default_rng(seed)
    xs = np.sort(draws.uniform(0, 400, 5 + seed))
    ys = np.round(20 - 0.02 * xs + draws.normal(0, 3, xs.size), 0 if seed % 3 == 0 else 3)
    confidence = (0.8, 0.9, 0.95)[seed % 3]
    found, other = theil_sen(list(xs), list(ys), confidence), stats.theilslopes(ys, xs, confidence)
    assert found is not None
    assert (found.slope, found.at_zero) == (pytest.approx(other.slope), pytest.approx(other.intercept))
    assert (found.low, found.high) == (pytest.approx(other.low_slope), pytest.approx(other.high_slope))


def test_pettitts_own_example() -> None:
    found = pettitt(PETTITT)
    assert found is not None
    assert (found.statistic, found.before) == (232, 17)
    assert round(found.chance, 4) == 0.0146
    assert found.size > 0
