"""Time above a level, against published records and closed forms.

Sources: the project's published checks. Piecewise linear records: exact fractions, confirmed there by integration
over four million points. Level fractions of a sine (arcsine distribution), a triangle and a half sine; exponential
decay, first-order rise, Gaussian: closed forms, confirmed there with scipy.stats.arcsine and dense sampling.
"""

from fractions import Fraction

import numpy as np
import pytest

from tests.checks.judging import excursions_above

RECORDS = {
    "trapezoid": ("0 10 14 17 25 40", "600 600 820 820 600 600"),
    "two peaks": ("0 5 9 12 20 24 30 36", "650 650 790 700 700 840 660 650"),
    "touches limit": ("0 5 10 15 20", "600 800 600 800 600"),
    "plateau exactly on limit": ("0 5 15 20", "600 800 800 600"),
    "irregular sampling": ("0 0.5 1.75 2 4.25 9", "640 702.5 815 790 701 655"),
    "starts above": ("0 6 10", "810 760 600"),
    "ends above": ("0 4 10", "600 760 810"),
    "torque": ("0 2 3 6 8 9", "96 104 110 110 101 98"),
}
# Record, level, time above each event [s].
TIMES_ABOVE = [
    ("trapezoid", 700, "105/11"), ("trapezoid", 750, "75/11"), ("trapezoid", 800, "45/11"),
    ("two peaks", 700, "39/7 26/3"), ("two peaks", 750, "52/21 39/7"), ("two peaks", 800, "52/21"),
    ("touches limit", 700, "5 5"), ("touches limit", 750, "5/2 5/2"), ("touches limit", 800, ""),
    ("plateau exactly on limit", 700, "15"), ("plateau exactly on limit", 750, "25/2"),
    ("plateau exactly on limit", 800, ""),
    ("irregular sampling", 700, "17817/4600"), ("irregular sampling", 750, "6355/3204"),
    ("irregular sampling", 800, "19/60"),
    ("starts above", 700, "15/2"), ("starts above", 750, "25/4"), ("starts above", 800, "6/5"),
    ("ends above", 700, "15/2"), ("ends above", 750, "25/4"), ("ends above", 800, "6/5"),
    ("torque", 100, "22/3"), ("torque", 102, "113/18"), ("torque", 105, "89/18"),
]  # fmt: skip


def floats(text: str) -> list[float]:
    return [float(word) for word in text.split()]


@pytest.mark.parametrize(("record", "level", "events"), TIMES_ABOVE)
def test_time_above_a_level_of_a_piecewise_linear_record(record: str, level: float, events: str) -> None:
    times, values = (floats(text) for text in RECORDS[record])
    found = [one.seconds_above for one in excursions_above(times, values, level)]
    assert found == [pytest.approx(float(Fraction(event)), rel=1e-12) for event in events.split()]


# A plateau that lies on the limit is 0 s above it and 10 s at or above it.
@pytest.mark.parametrize(("on_boundary", "seconds"), [("within", []), ("beyond", [10.0])])
def test_a_plateau_on_the_limit(on_boundary: str, seconds: list[float]) -> None:
    found = excursions_above([0, 5, 15, 20], [600, 800, 800, 600], 800, on_boundary=on_boundary)
    assert [one.seconds_above for one in found] == seconds


# Level over amplitude: share of the time above it for a sine, acos(k)/pi, and for a triangle, (1-k)/2.
FRACTIONS = [
    (-0.9, 0.856433706871, 0.95), (-0.5, 0.666666666667, 0.75), (0.0, 0.5, 0.5), (0.25, 0.419569376745, 0.375),
    (0.5, 0.333333333333, 0.25), (0.7071067811865476, 0.25, 0.146446609407), (0.8, 0.204832764699, 0.1),
    (0.9, 0.143566293129, 0.05), (0.95, 0.101082624104, 0.025), (0.99, 0.045053413644, 0.005),
]  # fmt: skip
PERIODS, POINTS = 4, 200_000


@pytest.mark.parametrize(("level", "sine", "triangle"), FRACTIONS)
def test_share_of_the_time_above_a_level(level: float, sine: float, triangle: float) -> None:
    phase = np.linspace(0, PERIODS, PERIODS * POINTS + 1)
    above = excursions_above(phase, np.sin(2 * np.pi * phase), level)
    assert sum(one.seconds_above or 0 for one in above) / PERIODS == pytest.approx(sine, abs=1e-8)
    corners = np.arange(0, PERIODS + 0.25, 0.25)
    above = excursions_above(corners, np.tile([0.0, 1, 0, -1], PERIODS + 1)[: corners.size], level)
    assert sum(one.seconds_above or 0 for one in above) / PERIODS == pytest.approx(triangle, abs=1e-12)


def decay(start: float, end: float, tau: float) -> tuple[np.ndarray, np.ndarray]:
    times = np.linspace(0, 20 * tau, 400_001)
    return times, end + (start - end) * np.exp(-times / tau)


def gaussian(amplitude: float, sigma: float) -> tuple[np.ndarray, np.ndarray]:
    times = np.linspace(-8 * sigma, 8 * sigma, 400_001)
    return times, amplitude * np.exp(-(times**2) / (2 * sigma**2))


@pytest.mark.parametrize(
    ("curve", "level", "seconds"),
    [
        (decay(900, 0, 12), 450, 8.317766167), (decay(900, 0, 12), 800, 1.413396428),
        (decay(1000, 600, 5), 700, 6.931471806), (decay(1000, 600, 5), 950, 0.667656963),
        (decay(120, 100, 30), 110, 20.794415417), (gaussian(100, 3), 50, 7.064460135),
        (gaussian(100, 3), 90, 2.754261630), (gaussian(100, 3), 10, 12.875796158),
    ],
)  # fmt: skip
def test_closed_forms(curve: tuple[np.ndarray, np.ndarray], level: float, seconds: float) -> None:
    found = excursions_above(*curve, level)
    assert [one.seconds_above for one in found] == [pytest.approx(seconds, abs=2e-6)]


def test_levels_are_the_duration_curve() -> None:
    # The trapezoid again, its three levels as vertices of one chart.
    times, values = (floats(text) for text in RECORDS["trapezoid"])
    look = {"summary": "Look", "before_next_flight": True}
    areas = [{"name": "A", "allowed": [{"above": v, "seconds": 0} for v in (700, 750, 800)], "action": look}]
    (found,) = excursions_above(times, values, 700, areas=areas)
    assert [(level.value, level.seconds) for level in found.levels] == [
        (700, pytest.approx(105 / 11)), (750, pytest.approx(75 / 11)), (800, pytest.approx(45 / 11)),
    ]  # fmt: skip
