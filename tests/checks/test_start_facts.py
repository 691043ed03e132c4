"""Facts of the trade about a start as check values, each marked "common practice, no published source"."""

import numpy as np
import pytest

from engines.start_signals import samples_of, slopes
from engines.starts import StartFigures, starts_of
from engines.traces import Trace
from tests.engines.starts_kit import type_with

# A start drawn by the facts themselves, ten rows a second: speed through its corners, temperature after it.
STEP = 0.1
TIMES = np.arange(0.0, 90.0 + STEP / 2, STEP)
SPEED = ((0, 0), (2, 0), (8, 9), (10, 12), (13, 16.5), (20, 32), (38, 60), (90, 60))
HEAT = ((0, 60), (10, 60), (13, 645), (38, 580), (50, 555), (90, 555))


def ordinary() -> Trace:
    """Return a start as the facts describe it."""
    n1, itt = (np.interp(TIMES, [t for t, _ in corners], [v for _, v in corners]) for corners in (SPEED, HEAT))
    return Trace(TIMES, {"n1": n1, "itt": itt, "fuel": np.where(TIMES >= 7.8, 90.0, 0.0)})


@pytest.fixture(scope="module")
def start() -> StartFigures:
    (found,) = starts_of(ordinary(), type_with(settled={"after_s": 15, "seconds": 15, "speed_below": 66}))
    return found


# Common practice, no published source: fuel is introduced between 7 and 10 % gas generator speed.
def test_fuel_comes_on_between_seven_and_ten_percent(start: StartFigures) -> None:
    assert start.speed_at_fuel == pytest.approx(9 * 5.8 / 6, abs=0.2)
    assert start.speed_at_fuel is not None
    assert 7 <= start.speed_at_fuel <= 10


# Common practice, no published source: start peaks from the low to the middle 600s °C are usual.
def test_the_peak_lies_in_the_lower_six_hundreds(start: StartFigures) -> None:
    assert start.peak == pytest.approx(645)
    assert start.outcome == "started"


# Common practice, no published source: temperature falls on its own from about 15 to 18 % on.
def test_the_temperature_begins_to_fall_between_fifteen_and_eighteen_percent(start: StartFigures) -> None:
    assert start.speed_at_fall == pytest.approx(16.5, abs=0.2)


# Common practice, no published source: about 60 % at idle with the temperature in the middle 500s.
def test_idle_is_about_sixty_percent_with_the_temperature_in_the_middle_five_hundreds(start: StartFigures) -> None:
    assert start.idle_temperature == pytest.approx(555)
    assert start.acceleration is not None


# Common practice, no published source: the risk of a hot start is greatest just after light-off, when least air flows.
def test_the_temperature_rises_fastest_just_after_light_off(start: StartFigures) -> None:
    heat = samples_of(ordinary(), "itt")
    assert heat is not None
    assert start.light_off_s is not None
    assert start.idle_s is not None
    later = slopes(heat.between(start.light_off_s + 4, start.idle_s), 2, 2)
    assert start.temperature_slope == pytest.approx((645 - 60) / 3, rel=0.01)
    assert later.max() < 0
