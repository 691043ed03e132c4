"""What a recorded trace shows of each shutdown: how long the engine cooled down, and how long it ran down."""

from dataclasses import dataclass

import numpy as np

from engines.charts import EngineTypeData
from engines.regimes import segments_of
from engines.start_rules import CoolDown, RunDown, StartRules
from engines.start_signals import Samples, samples_of
from engines.traces import Trace


@dataclass(frozen=True)
class ShutdownFigures:
    """One end of running; None is what the trace does not show.

    ``at_s`` is the last sample of running from the first row, ``cooled_s`` how long the engine had been at low power
    by then, ``run_down_s`` how long the speed took between the two speeds of the rule. [s] ``temperature`` is the
    temperature at ``at_s``. [temperature channel's unit]
    """

    at_s: float
    cooled_s: float | None = None
    run_down_s: float | None = None
    temperature: float | None = None


def shutdowns_of(trace: Trace, data: EngineTypeData) -> tuple[ShutdownFigures, ...]:
    """Return what a trace shows of each shutdown.

    Parameters
    ----------
    trace : Trace
        The recorded run.
    data : EngineTypeData
        The engine type, with its segmentation and how its shutdowns are told.

    Returns
    -------
    tuple of ShutdownFigures
        One for each end of running that the record goes on beyond, in order; none where the type has no
        segmentation.

    Notes
    -----
    The run-down is timed where the straight lines between samples cross the two speeds, so a finer record of the
    same lines gives the same time.
    """
    segments = segments_of(trace, data.segmentation)
    if segments is None:
        return ()
    rules = data.starts or StartRules()
    last = float(trace.times[-1])
    turnings = [start.turning_s for start in segments.starts]
    ends = [end for _, end in segments.stints if end < last]
    nexts = [min([at for at in turnings if at > end], default=last) for end in ends]
    return tuple(_shutdown(trace, data, rules, span) for span in zip(ends, nexts, strict=True))


def _shutdown(trace: Trace, data: EngineTypeData, rules: StartRules, span: tuple[float, float]) -> ShutdownFigures:
    """Return one shutdown, from the end of running to where the next turning begins or the record ends."""
    assert data.segmentation is not None
    heat = samples_of(trace, data.segmentation.temperature)
    speed = samples_of(trace, data.segmentation.speed)
    assert speed is not None
    gap_s = data.gap_of(data.segmentation.speed)
    return ShutdownFigures(
        at_s=span[0],
        cooled_s=_cooled(trace, data, rules.cool_down, span[0]),
        run_down_s=_run_down(speed, rules.run_down, span, gap_s),
        temperature=None if heat is None else heat.at(span[0], data.gap_of(data.segmentation.temperature)),
    )


def _cooled(trace: Trace, data: EngineTypeData, rule: CoolDown | None, end: float) -> float | None:
    """Return how long before the end a channel stayed below the rule's value; a gap ends what is known."""
    samples = samples_of(trace, rule.channel) if rule else None
    if rule is None or samples is None:
        return None
    samples = samples.between(float(trace.times[0]), end)
    if not samples.size or end - samples.times[-1] > data.gap_of(rule.channel):
        return None
    outside = samples.values >= rule.below
    outside[1:] |= np.diff(samples.times) > data.gap_of(rule.channel)
    rows = np.flatnonzero(outside)
    first = int(rows[-1]) if rows.size else 0
    return end - float(samples.times[first])


def _run_down(speed: Samples, rule: RunDown | None, span: tuple[float, float], gap_s: float) -> float | None:
    """Return how long the speed took to fall from the rule's upper speed to its lower, before the next start."""
    if rule is None:
        return None
    falling = speed.between(span[0] - gap_s, span[1])
    high, low = (_crossing(falling, value, gap_s) for value in (rule.high, rule.low))
    if high is None or low is None or low < high or falling.longest_step(high, low) > gap_s:
        return None
    return low - high


def _crossing(samples: Samples, value: float, gap_s: float) -> float | None:
    """Return when the line through the samples last falls to a value; None where it does not, or within a gap."""
    rows = np.flatnonzero((samples.values[:-1] > value) & (samples.values[1:] <= value))
    if not rows.size:
        return None
    k = int(rows[-1])
    (v0, v1), (t0, t1) = samples.values[k : k + 2], samples.times[k : k + 2]
    return float(t0 + (t1 - t0) * (v0 - value) / (v0 - v1)) if t1 - t0 <= gap_s else None
