"""What a recorded trace shows of each start: its figures, and how it ended by the rules of the type."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from engines.charts import EngineTypeData
from engines.regimes import Start, segments_of
from engines.start_rules import Hang, Least, StartRules
from engines.start_signals import Samples, bursts, samples_of, shows, slopes
from engines.traces import Trace

REST_S: Final = 60.0  # how long before turning the engine's rest is looked at [s]

OUTCOMES: Final = {
    "hot": "hot start",
    "hung": "hung start",
    "no_light_off": "no light-off",
    "aborted": "aborted",
    "motoring": "dry motoring",
    "wet_motoring": "wet motoring",
    "cut": "cut off by the end of the record",
    "unknown": "not known",
    "started": "started",
}  # worst first


@dataclass(frozen=True)
class StartFigures:
    """One turning of the engine as its trace shows it; None is what the trace does not show.

    Times ending in ``_s`` are from the first row, those of ``to_`` are lengths. [s] Speeds and temperatures are in the
    units of the type's speed and temperature channels, slopes in these per second, ``supply_`` in the supply channel's.
    ``also`` holds what else the start was besides ``outcome``; ``notes`` says in words what could not be told.
    """

    turning_s: float
    end_s: float
    starter_s: float | None = None
    starter_off_s: float | None = None
    fuel_s: float | None = None
    speed_at_fuel: float | None = None
    light_off_s: float | None = None
    speed_at_light_off: float | None = None
    to_light_off: float | None = None
    fuel_to_light_off: float | None = None
    peak: float | None = None
    peak_s: float | None = None
    temperature_slope: float | None = None
    speed_at_fall: float | None = None
    acceleration: float | None = None
    idle_s: float | None = None
    to_idle: float | None = None
    idle_temperature: float | None = None
    supply_rest: float | None = None
    supply_lowest: float | None = None
    supply_dip: float | None = None
    to_oil_pressure: float | None = None
    residual: float | None = None
    limiting: tuple[tuple[float, float], ...] | None = None
    outcome: str = "unknown"
    also: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def starts_of(trace: Trace, data: EngineTypeData) -> tuple[StartFigures, ...]:
    """Return what a trace shows of each start.

    Parameters
    ----------
    trace : Trace
        The recorded run.
    data : EngineTypeData
        The engine type, with its segmentation and how its starts are told.

    Returns
    -------
    tuple of StartFigures
        One for each turning from rest, in order; none where the type has no segmentation, or the trace no speed. Where
        the type says nothing of starts, only what the segmentation tells is read.

    Notes
    -----
    Every time is that of a sample, so a finer record moves it by less than a step. A record that begins with the
    engine turning tells nothing of its rest, and so neither of the starter, nor of how long anything took.
    """
    segments = segments_of(trace, data.segmentation)
    if segments is None:
        return ()
    rules = data.starts or StartRules()
    rests = [start.turning_s for start in segments.starts]
    ends = [*rests[1:], float(trace.times[-1])][: len(rests)]
    before = float(trace.times[0])
    found = []
    for start, limit in zip(segments.starts, ends, strict=True):
        figures = _Reader(trace, data, rules, start, (before, limit)).figures()
        before = figures.end_s
        found.append(figures)
    return tuple(found)


class _Reader:
    """Reads one start: ``window`` is from the end of the turning before it to where the next begins. [s]"""

    def __init__(
        self, trace: Trace, data: EngineTypeData, rules: StartRules, start: Start, window: tuple[float, float]
    ) -> None:
        assert data.segmentation is not None
        self.trace, self.data, self.rules, self.start = trace, data, rules, start
        self.names, self.before, self.limit = data.segmentation, *window
        speed = samples_of(trace, self.names.speed)
        assert speed is not None
        self.speed = speed
        self.end, self.is_cut = self._end()
        self.rested = bool(speed.times[0] < start.turning_s)
        self.stop = self.end if start.idle_s is None else start.idle_s

    def _end(self) -> tuple[float, bool]:
        """Return when the speed falls below turning, and whether the record ends before it does."""
        after = self.speed.between(self.start.turning_s, self.limit)
        fell = after.first_where(after.values < self.names.turning)
        return (self.limit, True) if fell is None else (fell, False)

    def channel(self, name: str | None) -> Samples | None:
        """Return the samples of a channel from this start's rest to its end; None where there are none."""
        samples = None if name is None else samples_of(self.trace, name)
        found = None if samples is None else samples.between(self.before, self.end)
        return found if found is not None and found.size else None

    def speed_at(self, moment: float | None) -> float | None:
        return None if moment is None else self.speed.at(moment, self.data.gap_of(self.names.speed))

    def since_turning(self, moment: float | None) -> float | None:
        return moment - self.start.turning_s if moment is not None and self.rested else None

    def figures(self) -> StartFigures:
        start, fuel_s, starter = self.start, self.fuel_s(), self.starter_s()
        lit, (rest, lowest) = start.light_off_s, self.supply()
        figures = StartFigures(
            turning_s=start.turning_s,
            end_s=self.end,
            starter_s=starter,
            starter_off_s=self.starter_off_s(starter),
            fuel_s=fuel_s,
            speed_at_fuel=self.speed_at(fuel_s),
            light_off_s=lit,
            speed_at_light_off=start.speed_at_light_off,
            to_light_off=self.since_turning(lit),
            fuel_to_light_off=lit - fuel_s if lit is not None and fuel_s is not None and lit >= fuel_s else None,
            peak=start.peak,
            peak_s=start.peak_s,
            temperature_slope=self.temperature_slope(),
            speed_at_fall=self.speed_at(self.fall_s()),
            acceleration=self.acceleration(),
            idle_s=start.idle_s,
            idle_temperature=self.idle_temperature(),
            supply_rest=rest,
            supply_lowest=lowest,
            supply_dip=None if rest is None or lowest is None else rest - lowest,
            to_idle=self.since_turning(start.idle_s),
            to_oil_pressure=self.since_turning(self.oil_s()),
            residual=self.residual(),
            limiting=self.limiting(fuel_s),
        )
        return _told(figures, self)

    def starter_s(self) -> float | None:
        """Return when the starter was engaged, looked for from rest until idle."""
        signal = self.rules.starter
        samples = self.channel(signal.channel if signal else None)
        if signal is None or samples is None or not self.rested:
            return None
        samples = samples.between(max(self.before, self.start.turning_s - REST_S), self.stop)
        return samples.first_where(shows(samples, signal))

    def starter_off_s(self, engaged: float | None) -> float | None:
        """Return when the starter was let go; None where its engagement was not seen, or lasts to the record's end."""
        signal = self.rules.starter
        samples = self.channel(signal.channel if signal else None)
        if engaged is None or signal is None or samples is None:
            return None
        samples = samples.between(max(self.before, self.start.turning_s - REST_S), self.end)
        return samples.first_where(~shows(samples, signal) & (samples.times > engaged))

    def fuel_s(self) -> float | None:
        """Return when fuel came on, looked for from turning until idle; a fuel that flowed before turning did not."""
        signal = self.rules.fuel_on
        samples = self.channel(signal.channel if signal else None)
        if signal is None or samples is None:
            return None
        samples = samples.between(self.start.turning_s, self.stop)
        found = samples.first_where(shows(samples, signal))
        is_seen = found is not None and (self.rested or found > samples.times[0])
        return found if is_seen else None

    def heat(self, start: float | None, end: float) -> Samples | None:
        """Return the temperature's samples between two times; None where there are none."""
        samples = self.channel(self.names.temperature)
        found = None if samples is None or start is None else samples.between(start, end)
        return found if found is not None and found.size else None

    def temperature_slope(self) -> float | None:
        """Return the steepest rise of the temperature over the rule's time, of a start that lit."""
        samples = self.heat(self.start.turning_s, self.stop)
        if samples is None or self.start.light_off_s is None:
            return None
        steep = slopes(samples, self.rules.slope_s, self.gap_of_heat)
        return float(steep.max()) if steep.size else None

    @property
    def gap_of_heat(self) -> float:
        return self.data.gap_of(self.names.temperature)

    def fall_s(self) -> float | None:
        """Return the last moment at the peak since light-off, where it then fell as far as the rule says."""
        samples = self.heat(self.start.light_off_s, self.stop)
        if samples is None:
            return None
        last = samples.size - 1 - int(np.argmax(samples.values[::-1]))
        fallen = samples.values[last] - samples.values[last:].min()
        return float(samples.times[last]) if fallen >= self.rules.fall_by else None

    def idle_temperature(self) -> float | None:
        """Return the middle temperature of settled idle, where the engine was left there for as long as it takes."""
        rule, idle_s = self.rules.settled, self.start.idle_s
        if rule is None or idle_s is None:
            return None
        last = idle_s + rule.after_s + rule.seconds
        speeds = self.speed.between(idle_s, last).values
        if last > self.end or (speeds > rule.speed_below).any() or (speeds < self.names.idle).any():
            return None
        settled = self.heat(idle_s + rule.after_s, last)
        return None if settled is None else float(np.median(settled.values))

    def supply(self) -> tuple[float | None, float | None]:
        """Return the supply's voltage at rest and its lowest until idle."""
        rule = self.rules.supply
        samples = self.channel(rule.channel if rule else None)
        if samples is None:
            return None, None
        first = self.starter_s() or self.start.turning_s
        rest = samples.between(max(self.before, first - REST_S), np.nextafter(first, -np.inf)).values
        during = samples.between(first, self.stop).values
        return (
            float(rest.max()) if rest.size and self.rested else None,
            float(during.min()) if during.size else None,
        )

    def oil_s(self) -> float | None:
        """Return when the oil pressure first stood at its least."""
        rule: Least | None = self.rules.oil_pressure
        samples = self.channel(rule.channel if rule else None)
        if rule is None or samples is None:
            return None
        samples = samples.between(self.start.turning_s, self.end)
        return samples.first_where(samples.values >= rule.least)

    def residual(self) -> float | None:
        """Return the temperature at the last sample before turning."""
        rest = self.heat(self.start.turning_s - REST_S, np.nextafter(self.start.turning_s, -np.inf))
        return float(rest.values[-1]) if rest is not None and self.rested else None

    def limiting(self, fuel_s: float | None) -> tuple[tuple[float, float], ...] | None:
        """Return the short bursts of fuel limiting from light-off to idle; None where no channel shows any."""
        rule, lit = self.rules.fuel_limiting, self.start.light_off_s
        samples = self.channel(rule.signal.channel if rule else None)
        if rule is None or samples is None or lit is None:
            return None
        return tuple(bursts(samples.between(lit if fuel_s is None else min(fuel_s, lit), self.stop), rule))

    def acceleration(self) -> float | None:
        """Return the mean rise of the speed from light-off to idle."""
        lit, idle_s = self.start.light_off_s, self.start.idle_s
        if lit is None or idle_s is None or idle_s <= lit:
            return None
        low, high = self.speed_at(lit), self.speed_at(idle_s)
        return None if low is None or high is None else (high - low) / (idle_s - lit)

    def hung(self, rule: Hang) -> bool:
        """Return whether the speed rose too slowly for too long between light-off and fuel off, or else its highest."""
        assert self.start.light_off_s is not None
        samples = self.speed.between(self.start.light_off_s, self.burnt_until())
        steps = slopes(samples, rule.seconds, self.data.gap_of(self.names.speed))
        return bool((steps < rule.rate).any())

    def burnt_until(self) -> float:
        """Return when fuel went off; where no channel shows it, when the speed was highest. [s]"""
        assert self.start.light_off_s is not None
        signal = self.rules.fuel_on
        samples = self.channel(signal.channel if signal else None)
        if signal is not None and samples is not None:
            after = samples.between(self.start.light_off_s, self.end)
            is_on = shows(after, signal)
            if is_on.any():
                return float(after.times[np.flatnonzero(is_on)[-1]])
        after = self.speed.between(self.start.light_off_s, self.end)
        return float(after.times[int(np.argmax(after.values))]) if after.size else self.end

    def fuel_lasted(self, fuel_s: float) -> float:
        """Return how long fuel was on. [s]"""
        signal = self.rules.fuel_on
        samples = self.channel(signal.channel if signal else None)
        assert signal is not None
        assert samples is not None
        after = samples.between(fuel_s, self.end)
        return float(after.times[np.flatnonzero(shows(after, signal))[-1]]) - fuel_s

    def was_lit_by_igniter(self) -> bool | None:
        """Return whether the ignition was on at all; None where no channel shows it."""
        signal = self.rules.ignition
        samples = self.channel(signal.channel if signal else None)
        if signal is None or samples is None:
            return None
        return bool(shows(samples.between(self.start.turning_s, self.end), signal).any())


def _told(figures: StartFigures, reader: _Reader) -> StartFigures:
    """Return the figures with how the start ended, worst first, and what could not be told."""
    found = list(_outcomes(figures, reader))
    worst = sorted(dict.fromkeys(found), key=list(OUTCOMES).index)
    return replace(figures, outcome=worst[0], also=tuple(worst[1:]), notes=tuple(_notes(figures, reader)))


def _outcomes(figures: StartFigures, reader: _Reader) -> Iterator[str]:
    if _is_hot(figures, reader.rules):
        yield "hot"
    if figures.idle_s is not None:
        yield "started"
    elif figures.light_off_s is None:
        yield _unlit(figures, reader)
    elif reader.rules.hung is not None and reader.hung(reader.rules.hung):
        yield "hung"
    else:
        yield "cut" if reader.is_cut else "aborted"


def _is_hot(figures: StartFigures, rules: StartRules) -> bool:
    """Return whether the engine burnt and its peak lies above the type's value."""
    if rules.hot_above is None or figures.peak is None:
        return False
    has_burnt = figures.light_off_s is not None or figures.idle_s is not None
    return has_burnt and figures.peak > rules.hot_above


def _unlit(figures: StartFigures, reader: _Reader) -> str:
    """Return how a turning ended of which no light-off was seen."""
    if reader.is_cut:
        return "cut"
    signal = reader.rules.fuel_on
    if reader.channel(reader.names.temperature) is None or signal is None or reader.channel(signal.channel) is None:
        return "unknown"
    if figures.fuel_s is None:
        return "motoring" if reader.rested else "unknown"
    if reader.was_lit_by_igniter() is False:
        return "wet_motoring"
    within = reader.rules.light_off_within_s or 0.0
    return "no_light_off" if reader.fuel_lasted(figures.fuel_s) >= within else "aborted"


def _notes(figures: StartFigures, reader: _Reader) -> Iterator[str]:
    if not reader.rested:
        yield "The record begins with the engine turning, so what came before is not recorded."
    samples = reader.channel(reader.names.temperature)
    if samples is None:
        yield "The temperature is not recorded."
    else:
        step = samples.longest_step(figures.turning_s, max(reader.stop, figures.turning_s))
        if step > reader.gap_of_heat:
            yield f"The temperature has a gap of {step:.1f} s within the start; its peak may have been higher."
    signal = reader.rules.fuel_on
    if signal is None or reader.channel(signal.channel) is None:
        yield "Fuel flow is not recorded."
    late = reader.rules.idle_within_s
    if late is not None and figures.to_idle is not None and figures.to_idle > late:
        yield f"Idle was reached after {figures.to_idle:.1f} s, and the type asks for it within {late:g} s."
