"""Steady settings of a run, and how cruise power was set: worked by hand on straight lines."""

from dataclasses import replace

import numpy as np
import pytest

from engines.documents import engine_type_read
from engines.power_rules import PowerRules
from engines.settled import CruiseFound, Setting, cruise_found, settings_of
from engines.traces import Trace
from tests.power import power_document

RULES = engine_type_read(power_document()).power
assert RULES is not None
POWER: PowerRules = RULES
NAN = float("nan")


def flown(*parts: tuple[float, float, float, float], rate_hz: int = 1, noise: float = 0.0) -> Trace:
    """Return a trace of parts of seconds, torque, propeller speed and fuel flow, each level."""
    seconds = [round(part[0] * rate_hz) for part in parts]
    columns = [np.repeat([part[k] for part in parts], seconds) for k in (1, 2, 3)]
    wobble = noise * np.where(np.arange(sum(seconds)) % 2, 1.0, -1.0)
    channels = dict(zip(("torque", "np", "fuel_flow"), (c + wobble for c in columns), strict=True))
    altitude = np.arange(float(sum(seconds)))
    return Trace(np.arange(sum(seconds)) / rate_hz, channels | {"altitude": altitude})


def found(trace: Trace, least: float = 20.0) -> list[Setting]:
    return settings_of(trace, POWER, least, 2.0)


def test_steady_stretches_with_their_means() -> None:
    settings = found(flown((30, 95, 1860, 384), (5, 85, 1860, 350), (40, 75, 1860, 310)))
    assert [(s.start_s, s.end_s) for s in settings] == [(0, 30), (35, 75)]
    assert settings[0].means == {"torque": 95, "np": 1860, "fuel_flow": 384, "altitude": 14.5}
    assert settings[1].seconds == 40


@pytest.mark.parametrize(("seconds", "count"), [(19, 0), (20, 1)])
def test_it_has_to_be_steady_for_as_long_as_the_rules_say(seconds: int, count: int) -> None:
    assert len(found(flown((seconds, 80, 1700, 300)))) == count


@pytest.mark.parametrize(("torque", "count"), [(81.5, 1), (81.6, 2)])
def test_what_leaves_the_spread_ends_it(torque: float, count: int) -> None:
    assert len(found(flown((20, 80, 1700, 300), (20, torque, 1700, 300)))) == count


def test_a_fast_recorders_noise_is_no_unsteadiness() -> None:
    # 2 % up and down at 4 Hz is more than the spread of 1.5 %, and nothing in the mean of a second.
    assert len(found(flown((30, 80, 1700, 300), rate_hz=4, noise=2.0))) == 1


def test_idle_is_no_setting_of_power() -> None:
    assert found(flown((60, 6, 1150, 96))) == []


def test_a_gap_ends_a_stretch() -> None:
    trace = flown((60, 80, 1700, 300))
    torque = trace.channels["torque"].copy()
    torque[30:35] = NAN
    assert [(s.start_s, s.end_s) for s in found(replace(trace, channels={**trace.channels, "torque": torque}))] == [
        (0, 30), (35, 60),
    ]  # fmt: skip


def test_without_the_channels_there_are_none() -> None:
    trace = flown((30, 80, 1700, 300))
    assert found(Trace(trace.times, {"torque": trace.channels["torque"]})) == []
    assert found(Trace(np.array([]), {name: np.array([]) for name in trace.channels})) == []


def test_a_channel_without_a_sample_has_no_mean() -> None:
    trace = flown((30, 80, 1700, 300))
    channels = {**trace.channels, "altitude": np.full(30, NAN)}
    assert "altitude" not in found(Trace(trace.times, channels))[0].means


FULL, CLIMB = (30, 95, 1860, 384), (30, 84, 1860, 345)
REDUCED, CRUISE = (25, 70, 1860, 300), (60, 76.5, 1700, 301)


def cruise(*parts: tuple[float, float, float, float]) -> CruiseFound | None:
    return cruise_found(found(flown(*parts)), POWER)


def test_full_power_the_setting_reduced_to_and_the_torque_rise() -> None:
    one = cruise(FULL, CLIMB, REDUCED, CRUISE)
    assert one is not None
    assert [s.means["torque"] for s in (one.full, one.reduced, one.cruise)] == [95, 70, 76.5]
    assert (one.torque_rise, one.propeller_fall) == (6.5, 160)
    # At one power torque times speed stays: 70 x 1860 / 1700 = 76.6.
    assert one.cruise.means["torque"] == pytest.approx(70 * 1860 / 1700, abs=0.2)


@pytest.mark.parametrize(
    "parts",
    [
        (REDUCED, CRUISE),  # nothing fuller before
        (FULL, REDUCED, (60, 76.5, 1820, 301)),  # the propeller came back by too little
        (FULL, REDUCED, (60, 69, 1700, 301)),  # no torque rose
        (FULL, REDUCED, (60, 76.5, 1700, 330)),  # the power lever was moved too
        ((30, 95, 1860, 290), REDUCED, CRUISE),  # what came before burnt less
        (FULL,),
        (),
    ],
)
def test_what_is_no_setting_of_cruise_power(parts: tuple[tuple[float, float, float, float], ...]) -> None:
    assert (cruise(*parts) if parts else cruise_found([], POWER)) is None
