"""EWMA and CUSUM charts against the NIST/SEMATECH e-Handbook's printed examples."""

import pytest

from engines.control_charts import cusum_of, drift_of, ewma_of
from engines.start_rules import DriftRule

# NIST/SEMATECH e-Handbook 6.3.2.4: target 50, standard deviation 2.0539, weight 0.3, width 3.
EWMA = [
    (52.0, 50.60), (47.0, 49.52), (53.0, 50.56), (49.3, 50.18), (50.1, 50.16), (47.0, 49.21), (51.0, 49.75),
    (50.1, 49.85), (51.2, 50.26), (50.5, 50.33), (49.6, 50.11), (47.6, 49.36), (49.9, 49.52), (51.3, 50.05),
    (47.8, 49.38), (51.2, 49.92), (52.6, 50.73), (52.4, 51.23), (53.6, 51.94), (52.1, 51.99),
]  # fmt: skip
# NIST/SEMATECH e-Handbook 6.3.2.3: target 325, k 0.3175, h 4.1959; group mean, S_hi and S_lo as printed.
CUSUM = [
    (324.925, 0, 0), (324.675, 0, 0.01), (324.725, 0, 0), (324.35, 0, 0.33), (325.35, 0.03, 0), (325.225, 0, 0),
    (324.125, 0, 0.56), (324.525, 0, 0.72), (325.225, 0, 0.17), (324.6, 0, 0.25), (324.625, 0, 0.31), (325.15, 0, 0),
    (328.325, 3.01, 0), (327.25, 4.94, 0), (327.825, 7.45, 0), (328.5, 10.63, 0), (326.675, 11.99, 0),
    (327.775, 14.44, 0), (326.875, 16.00, 0), (328.35, 19.04, 0),
]  # fmt: skip


def test_the_handbooks_ewma_chart() -> None:
    chart = ewma_of([x for x, _ in EWMA], target=50, sigma=2.0539, weight=0.3, width=3)
    assert chart.values == pytest.approx([printed for _, printed in EWMA], abs=0.0051)
    # The handbook rounds sqrt(0.3 / 1.7) to 0.4201 before it prints the limits.
    assert (chart.upper, chart.lower) == pytest.approx((52.5884, 47.4115), abs=2e-4)
    assert chart.signals == ()


def test_the_handbooks_cusum_chart() -> None:
    chart = cusum_of([x for x, _, _ in CUSUM], target=325, slack=0.3175, decision=4.1959)
    assert chart.high == pytest.approx([high for _, high, _ in CUSUM], abs=0.0051)
    assert chart.low == pytest.approx([low for _, _, low in CUSUM], abs=0.0051)
    assert chart.signals == tuple(range(13, 20))  # the first signal is of group 14


def test_a_series_sets_its_own_charts_by_its_first_values() -> None:
    # By hand: mean 2, sample standard deviation sqrt((1 + 0 + 1 + 0 + 0) / 4) = sqrt(1/2).
    rule = DriftRule(baseline=5, weight=0.5, width=3, slack=0.5, decision=4)
    drift = drift_of([1, 2, 3, 2, 2, 5, 5], rule)
    assert drift is not None
    assert (drift.target, drift.sigma) == pytest.approx((2, 0.5**0.5))
    assert drift.ewma.values == pytest.approx((3.5, 4.25))
    assert drift.ewma.upper == pytest.approx(2 + 3 * (0.5 * 0.5 / 1.5) ** 0.5)
    assert drift.cusum.high == pytest.approx((3 - 0.5 * 0.5**0.5, 6 - 0.5**0.5))
    assert drift.is_signalled
    assert drift.direction == "higher"


def test_a_fall_is_called_lower() -> None:
    drift = drift_of([1, 2, 3, 2, 2, -2], DriftRule(baseline=5))
    assert drift is not None
    assert drift.direction == "lower"


def test_what_does_not_drift_signals_nothing() -> None:
    drift = drift_of([1, 2, 3, 2, 2, 2, 2.1, 1.9], DriftRule(baseline=5))
    assert drift is not None
    assert not drift.is_signalled


def test_nothing_is_charted_before_the_target_is_set() -> None:
    assert drift_of([1, 2, 3, 2, 2], DriftRule(baseline=5)) is None
    assert drift_of([2, 2, 2, 2, 2, 2], DriftRule(baseline=5)) is None
    rounded = drift_of([2, 2, 2, 2, 2, 2], DriftRule(baseline=5), resolution=0.1)
    assert rounded is not None
    assert rounded.sigma == 0.1
