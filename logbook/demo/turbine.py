"""An invented small turboprop as first-order lags: what its channels read for a course, without any noise."""

from collections.abc import Mapping
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from engines.traces import Floats
from logbook.demo.course import CRANKING_N1, Course, Knots

RATE_HZ = 4  # steps of the model
AFTER_IDLE_S = 8.0  # until the generator carries the bus

# Where a channel settles: by power (0 at idle, 1 at take-off), or by gas generator speed [%].
N1_BY_POWER: Knots = ((0.0, 62.0), (0.1, 70.0), (0.3, 82.0), (0.6, 90.0), (0.8, 94.0), (1.0, 97.5))
TORQUE_BY_POWER: Knots = ((0.0, 6.0), (0.3, 33.0), (0.6, 61.0), (0.8, 79.0), (1.0, 94.5))
ITT_BY_POWER: Knots = ((0.0, 470.0), (0.3, 545.0), (0.6, 608.0), (0.8, 646.0), (1.0, 680.0))
FUEL_BY_POWER: Knots = ((0.0, 96.0), (0.3, 180.0), (0.6, 264.0), (0.8, 322.0), (1.0, 384.0))
PRESSURE_BY_N1: Knots = ((0.0, 0.0), (15.0, 20.0), (30.0, 52.0), (45.0, 76.0), (62.0, 86.0), (80.0, 95.0), (97.5, 98.0))

ACCELERATION_HEAT = 1.2  # degC for each percent that the speed lags behind what is asked of it
LAPSE_C_FT = 0.002  # of the air outside
SOAK_C = 150.0  # how far above the air the hot parts stay for a while after shutdown
BATTERY_V, CRANKING_V, GENERATOR_V = 24.4, 18.4, 28.1


def lagged(target: Floats, seconds: Floats | float, initial: float) -> Floats:
    """Return how a first-order lag follows a target.

    Parameters
    ----------
    target : array of float, shape (n,)
        Where it would settle, at each step of the model.
    seconds : array of float, shape (n,), or float
        Its time constant at each step. [s]
    initial : float
        Where it is before the first step.

    Returns
    -------
    array of float, shape (n,)
        In the target's unit.

    Notes
    -----
    Implicit steps: stable for any time constant, and made of the four operations only, which every machine
    rounds alike.
    """
    step = 1.0 / RATE_HZ
    gains = np.broadcast_to(step / (step + np.asarray(seconds, dtype=float)), target.shape)
    pairs = zip(target.tolist(), gains.tolist(), strict=True)
    followed = accumulate(pairs, _follow, initial=initial)
    return np.array(list(followed)[1:], dtype=np.float64)


def _follow(at: float, pair: tuple[float, float]) -> float:
    """Return one step from where a channel is towards its target."""
    target, gain = pair
    return at + gain * (target - at)


def _along(knots: Knots, at: Floats) -> Floats:
    """Return the broken line through some knots; beyond its ends it keeps its end values."""
    where, values = zip(*knots, strict=True)
    line: Floats = np.interp(at, where, values)
    return line


def _within(times: Floats, span: tuple[float, float] | None) -> NDArray[np.bool_]:
    if span is None:
        return np.zeros(times.shape, dtype=np.bool_)
    return (times >= span[0]) & (times < span[1])


class _Model:
    """The channels of one course, each from those it depends on."""

    def __init__(self, course: Course, times: Floats, trim: Mapping[str, float]) -> None:
        self.course, self.times, self.trim = course, times, trim
        self.lit, self.starter = _within(times, course.lit), _within(times, course.starter)
        self.power = _along(course.power, times)
        self.is_cut = (times >= course.lit[1]) if course.lit else self.lit

    def _shifted(self, channel: str, settled: Floats) -> Floats:
        """Return where a channel settles, with what went amiss and how this engine differs from others."""
        knots = self.course.extra.get(channel)
        amiss = _along(knots, self.times) if knots else 0.0
        return settled + amiss + self.trim.get(channel, 0.0)

    def channels(self) -> dict[str, Floats]:
        n1, asked = self.n1()
        return {
            "itt": self.itt(asked - n1),
            "n1": n1,
            "np": self.propeller(),
            "torque": lagged(np.where(self.lit, self._shifted("torque", self.torque_settled()), 0.0), 1.6, 0.0),
            "oil_temp": self.oil_temp(),
            "oil_press": lagged(np.maximum(self._shifted("oil_press", _along(PRESSURE_BY_N1, n1)), 0.0), 0.8, 0.0),
            "fuel_flow": lagged(
                np.where(self.lit, self._shifted("fuel_flow", _along(FUEL_BY_POWER, self.power)), 0.0), 0.5, 0.0
            ),
            "bus_volts": self.volts(n1),
            **self.air(),
        }

    def air(self) -> dict[str, Floats]:
        """Return what the recorder has of the air outside: it cools by 2 °C for each 1000 ft above the field."""
        if not self.course.altitude:
            return {}
        altitude = _along(self.course.altitude, self.times)
        return {
            "altitude": altitude,
            "oat": self.course.air_temp - LAPSE_C_FT * (altitude - self.course.altitude[0][1]),
        }

    def n1(self) -> tuple[Floats, Floats]:
        """Return the gas generator's speed and what is asked of it. [%]"""
        is_start = self.times < self.course.idle_s
        asked = np.where(is_start, _along(self.course.starting, self.times), _along(N1_BY_POWER, self.power))
        asked = np.where(self.lit, self._shifted("n1", asked), np.where(self.starter, CRANKING_N1, 0.0))
        seconds = np.where(self.lit, np.where(is_start, 0.6, 1.4), np.where(self.starter, 3.5, 6.5))
        return lagged(asked, seconds, 0.0), asked

    def itt(self, lag: Floats) -> Floats:
        settled = _along(ITT_BY_POWER, self.power) + ACCELERATION_HEAT * np.clip(lag, -4.0, 6.0)
        air = self.course.air_temp
        target = np.where(self.lit, self._shifted("itt", settled), np.where(self.is_cut, air + SOAK_C, air))
        seconds = np.where(self.lit, 1.0, np.where(self.is_cut, 12.0, 25.0))
        return lagged(target, seconds, air + self.trim.get("residual", 30.0))

    def torque_settled(self) -> Floats:
        """Return torque by power, none before the propeller turns. [%]"""
        return np.where(self.times < self.course.idle_s, 0.0, _along(TORQUE_BY_POWER, self.power))

    def propeller(self) -> Floats:
        target = np.where(self.lit, self._shifted("np", _along(self.course.propeller, self.times)), 0.0)
        return lagged(np.maximum(target, 0.0), np.where(self.lit, 2.0, 7.0), 0.0)

    def oil_temp(self) -> Floats:
        air = self.course.air_temp
        target = np.where(self.lit, air + 34.0 + 26.0 * self.power, air)
        return lagged(self._shifted("oil_temp", target), 200.0, air + 12.0)

    def volts(self, n1: Floats) -> Floats:
        has_generator = self.lit & (self.times >= self.course.idle_s + AFTER_IDLE_S)
        battery = np.where(self.starter, CRANKING_V + 0.06 * n1, BATTERY_V)
        return lagged(self._shifted("bus_volts", np.where(has_generator, GENERATOR_V, battery)), 0.4, BATTERY_V)


def model_times(seconds: float) -> Floats:
    """Return the times of the model's steps.

    Parameters
    ----------
    seconds : float
        Length of the run. [s]

    Returns
    -------
    array of float, shape (n,)
        From 0 on, four a second. [s]
    """
    return np.arange(round(seconds * RATE_HZ)) / RATE_HZ


def channels_of(course: Course, trim: Mapping[str, float]) -> dict[str, Floats]:
    """Return what the channels of an engine read along a course, without noise.

    Parameters
    ----------
    course : Course
        What was done.
    trim : mapping of str to float
        How this engine differs from the type, by channel; ``residual`` is how warm it still is. [channel's unit]

    Returns
    -------
    dict of str to array of float, shape (n,)
        itt, oil_temp [degC]; n1, torque [%]; np [rpm]; oil_press [psi]; fuel_flow [lb/h]; bus_volts [V];
        altitude [ft] and oat [degC] where the course has them; at
        :func:`model_times`.

    Notes
    -----
    Invented throughout. Each channel follows its target by a first-order lag; a gas generator that is asked to
    accelerate burns hotter by how far it lags behind.
    """
    return _Model(course, model_times(course.seconds), trim).channels()
