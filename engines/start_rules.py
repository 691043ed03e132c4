"""What an engine type says of its starts: which channel shows what, and by which figures a start is told."""

from dataclasses import dataclass

Corners = tuple[tuple[float, float], ...]  # (seconds after light-off, value), joined by straight lines


@dataclass(frozen=True)
class Signal:
    """How a channel shows that something is on: above a value, or fallen by so much from its rest. [channel's unit]"""

    channel: str
    above: float | None = None
    drop: float | None = None


@dataclass(frozen=True)
class Hang:
    """A start hangs where its speed rises by less than ``rate`` over ``seconds``. [speed's unit / s, s]"""

    rate: float
    seconds: float


@dataclass(frozen=True)
class Settled:
    """When idle is settled: from ``after_s`` after idle on, for ``seconds``, never above a speed. [s, speed's unit]"""

    after_s: float
    seconds: float
    speed_below: float


@dataclass(frozen=True)
class Least:
    """The least a channel has to show, and by when since turning, where that is stated. [channel's unit, s]"""

    channel: str
    least: float
    within_s: float | None = None


@dataclass(frozen=True)
class Burst:
    """How short bursts show: a channel above a value, or fallen by so much for at most so long. [channel's unit, s]"""

    signal: Signal
    most_s: float


@dataclass(frozen=True)
class CoolDown:
    """Cooling down before shutdown: a channel stays below a value, for at least so long. [channel's unit, s]"""

    channel: str
    below: float
    seconds: float


@dataclass(frozen=True)
class RunDown:
    """Between which falling speeds the run-down is timed, and how long it has to take at least. [speed's unit, s]"""

    high: float
    low: float
    least_s: float | None = None


@dataclass(frozen=True)
class Envelope:
    """Within what a start usually lies, by time from light-off: highest temperature, lowest speed. [channels' units]"""

    temperature: Corners = ()
    speed: Corners = ()


@dataclass(frozen=True)
class DriftRule:
    """By what a drift is called out: starts that set the target, EWMA weight and width, CUSUM slack and decision.

    ``width``, ``slack`` and ``decision`` are in standard deviations of the first ``baseline`` starts.
    """

    baseline: int = 10
    weight: float = 0.3
    width: float = 3.0
    slack: float = 0.5
    decision: float = 5.0


@dataclass(frozen=True)
class StartRules:
    """What an engine type says of starts and shutdowns; None where it says nothing of it.

    ``hot_above`` and ``residual_most`` are temperatures, ``fall_by`` is how far the temperature has to fall from its
    peak before it counts as falling [temperature's unit]; ``slope_s`` is the time over which slopes are taken, and
    ``light_off_within_s`` counts from fuel on, ``idle_within_s`` from turning. [s]
    """

    starter: Signal | None = None
    fuel_on: Signal | None = None
    ignition: Signal | None = None
    light_off_within_s: float | None = None
    idle_within_s: float | None = None
    hot_above: float | None = None
    hung: Hang | None = None
    fall_by: float = 5.0
    slope_s: float = 2.0
    settled: Settled | None = None
    supply: Least | None = None
    oil_pressure: Least | None = None
    residual_most: float | None = None
    fuel_limiting: Burst | None = None
    cool_down: CoolDown | None = None
    run_down: RunDown | None = None
    envelope: Envelope = Envelope()
    drift: DriftRule = DriftRule()
    source: str = ""
