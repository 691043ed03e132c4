"""Stretches of a recorded run at one steady setting, and cruise settings found among them."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from engines.power_rules import PowerRules
from engines.traces import Floats, Trace

STEP_S = 1.0  # samples are taken together by the second, so that a fast recorder's noise is not unsteadiness


@dataclass(frozen=True)
class Setting:
    """A stretch at one steady setting: from when to when, and each channel's mean over it. [s, channels' units]"""

    start_s: float
    end_s: float
    means: dict[str, float]

    @property
    def seconds(self) -> float:
        """Return how long it lasted. [s]"""
        return self.end_s - self.start_s


@dataclass(frozen=True)
class CruiseFound:
    """How cruise power was set: the fullest setting, the one reduced to, and the one with the propeller brought back.

    ``torque_rise`` is what the torque rose by as the propeller came back; ``propeller_fall`` by how much that came
    back. [channels' units]
    """

    full: Setting
    reduced: Setting
    cruise: Setting
    torque_rise: float
    propeller_fall: float


def _by_second(trace: Trace, names: tuple[str, ...]) -> tuple[Floats, dict[str, Floats]]:
    """Return the beginning of each second that has samples of every channel, and the channels' means in it."""
    seconds = np.floor(trace.times / STEP_S).astype(np.int64)
    found = {}
    there = np.ones(int(seconds[-1]) + 1, dtype=bool)
    for name in names:
        values = trace.channels[name]
        valid = np.isfinite(values)
        count = np.bincount(seconds[valid], minlength=there.size)
        total = np.bincount(seconds[valid], weights=values[valid], minlength=there.size)
        there &= count > 0
        found[name] = total / np.maximum(count, 1)
    at = np.flatnonzero(there)
    return (at * STEP_S).astype(np.float64), {name: values[at] for name, values in found.items()}


def settings_of(trace: Trace, rules: PowerRules, least_torque: float, max_gap_s: float) -> list[Setting]:
    """Return the stretches of a run that were steady for long enough.

    Parameters
    ----------
    trace : Trace
        The recorded run, channels in the type's units.
    rules : PowerRules
        Which channels, how steady, and for how long.
    least_torque : float
        Torque below which a stretch is no setting of power. [torque channel's unit]
    max_gap_s : float
        The longest time between samples within a stretch. [s]

    Returns
    -------
    list of Setting
        In order of time, none over another; empty where the trace lacks torque, propeller speed or fuel flow.

    Notes
    -----
    Each begins at the first second from which torque, propeller speed and fuel flow, as means of a second, stay within
    the rules' spreads for the rules' time, and goes on for as long as they do.
    """
    steady = {
        rules.torque: rules.settled.torque,
        rules.propeller: rules.settled.propeller,
        rules.fuel_flow: rules.settled.fuel_flow,
    }
    if not trace.times.size or any(name not in trace.channels for name in steady):
        return []
    times, channels = _by_second(trace, tuple(steady))
    found, first = [], 0
    while first < times.size:
        last = _last_steady(times, channels, steady, first=first, max_gap_s=max_gap_s)
        seconds = times[last] - times[first] + STEP_S
        if seconds >= rules.settled.seconds and channels[rules.torque][first] >= least_torque:
            found.append(_setting(trace, float(times[first]), float(times[last] + STEP_S)))
            first = last + 1
        else:
            first += 1
    return found


def _last_steady(
    times: Floats, channels: dict[str, Floats], steady: dict[str, float], *, first: int, max_gap_s: float
) -> int:
    """Return the last second up to which every channel stays within its spread from a first one on."""
    low = {name: values[first] for name, values in channels.items()}
    high = dict(low)
    for k in range(first + 1, times.size):
        if times[k] - times[k - 1] > max(max_gap_s, STEP_S):
            return k - 1
        for name, values in channels.items():
            low[name], high[name] = min(low[name], values[k]), max(high[name], values[k])
            if high[name] - low[name] > steady[name]:
                return k - 1
    return int(times.size) - 1


def _setting(trace: Trace, start_s: float, end_s: float) -> Setting:
    within = (trace.times >= start_s) & (trace.times < end_s)
    means = {}
    for name, values in trace.channels.items():
        own = values[within]
        own = own[np.isfinite(own)]
        if own.size:
            means[name] = float(own.mean())
    return Setting(start_s, end_s, means)


def cruise_found(settings: list[Setting], rules: PowerRules) -> CruiseFound | None:
    """Return how cruise power was set in a flight.

    Parameters
    ----------
    settings : list of Setting
        As :func:`settings_of` gives them.
    rules : PowerRules
        How far the propeller has to come back, and how still the fuel flow tells that the power lever stayed.

    Returns
    -------
    CruiseFound or None
        The first two settings that follow each other at the same fuel flow, the second with the propeller brought
        back and the torque risen, with the highest torque before them as full power; None where there are none, or
        nothing fuller came before.

    Notes
    -----
    At one power, torque goes up as the propeller comes down. *Common practice, no published source*: full power, then
    the power lever back to the cruise setting, then the propeller brought back, upon which torque rises.
    """
    for k, (before, after) in enumerate(pairwise(settings)):
        fall = before.means[rules.propeller] - after.means[rules.propeller]
        rise = after.means[rules.torque] - before.means[rules.torque]
        held = abs(after.means[rules.fuel_flow] - before.means[rules.fuel_flow]) <= rules.settled.fuel_flow
        fullest = max(settings[:k], key=lambda s: s.means[rules.torque], default=None)
        is_fuller = fullest is not None and fullest.means[rules.fuel_flow] > before.means[rules.fuel_flow]
        if fullest is not None and is_fuller and held and rise > 0 and fall >= rules.brought_back:
            return CruiseFound(fullest, before, after, rise, fall)
    return None
