"""Regimes, starts and usage, from the samples of the speed and temperature channels."""

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from tests.twin.path import Point, between
from tests.twin.reading import exact

STOPPED = "stopped"


@dataclass(frozen=True)
class Speeds:
    """The speeds and the rise that part a run."""

    turning: Fraction
    idle: Fraction
    stopping_below: Fraction
    light_off_rise: Fraction


@dataclass(frozen=True)
class Span:
    """A regime between two rows; the later one belongs to the next regime too."""

    regime: str
    first: int
    last: int


def speeds_read(segmentation: dict[str, Any]) -> Speeds:
    """Return the segmentation's numbers."""
    names = ("turning", "idle", "stopping_below", "light_off_rise")
    return Speeds(*(exact(segmentation[name]) for name in names))


def first_regime(samples: list[Point], speeds: Speeds) -> str:
    """Return the regime of the first speed sample."""
    if samples[0].x < speeds.turning:
        return STOPPED
    if samples[0].x >= speeds.idle:
        return "running"
    for sample in samples:
        if sample.x < speeds.turning:
            return "stopping"
        if sample.x >= speeds.idle:
            return "starting"
    return "stopping"


def next_regimes(regime: str, speed: Fraction, speeds: Speeds) -> list[str]:
    """Return the regimes entered at a sample, in order; a start straight to idle enters two."""
    if speed < speeds.turning:
        return [] if regime == STOPPED else [STOPPED]
    if regime == STOPPED:
        return ["starting", "running"] if speed >= speeds.idle else ["starting"]
    if regime in ("starting", "stopping"):
        return ["running"] if speed >= speeds.idle else []
    return ["stopping"] if speed < speeds.stopping_below else []


def all_spans(samples: list[Point], rows: int, speeds: Speeds) -> list[Span]:
    """Return every regime, standing still and those of no length included."""
    changes = [(first_regime(samples, speeds), 0)]
    for sample in samples[1:]:
        assert sample.row is not None
        changes += [(regime, sample.row) for regime in next_regimes(changes[-1][0], sample.x, speeds)]
    ends = [row for _, row in changes[1:]] + [rows - 1]
    return [Span(regime, first, last) for (regime, first), last in zip(changes, ends, strict=True)]


def listed_spans(spans: list[Span], times: list[Fraction]) -> list[Span]:
    """Return the regimes of a turning engine that take time."""
    return [span for span in spans if span.regime != STOPPED and times[span.first] < times[span.last]]


def windows(spans: list[Span], wanted: frozenset[str]) -> list[tuple[int, int]]:
    """Return the rows of the wanted regimes, contiguous ones merged."""
    merged: list[tuple[int, int]] = []
    for span in spans:
        if span.regime not in wanted:
            continue
        if merged and merged[-1][1] == span.first:
            merged[-1] = (merged[-1][0], span.last)
        else:
            merged.append((span.first, span.last))
    return merged


def episodes(spans: list[Span]) -> list[list[Span]]:
    """Return the regimes of each time the engine turned, from turning to the fall below it."""
    found: list[list[Span]] = []
    fresh = True
    for span in spans:
        if span.regime == STOPPED:
            fresh = True
        elif fresh:
            found.append([span])
            fresh = False
        else:
            found[-1].append(span)
    return found


@dataclass(frozen=True)
class Signals:
    """The row times with the samples of speed and temperature."""

    times: list[Fraction]
    speed: list[Point]
    temperature: list[Point]


def speed_at(signals: Signals, row: int) -> Fraction:
    """Return the speed at a row, between its neighbours if none was taken there; the last one's after it."""
    before = [sample for sample in signals.speed if sample.row is not None and sample.row <= row][-1]
    after = [sample for sample in signals.speed if sample.row is not None and sample.row >= row]
    if not after or before.t == after[0].t:
        return before.x
    return between(before, after[0], signals.times[row])


def light_off(temperature: list[Point], rise: Fraction) -> Point | None:
    """Return the first sample that has risen enough above the lowest so far."""
    for i, sample in enumerate(temperature):
        if sample.x - min(earlier.x for earlier in temperature[: i + 1]) >= rise:
            return sample
    return None


@dataclass(frozen=True)
class Start:
    """One turning: its light-off and idle if they came, and how it ended."""

    turning: int
    light_off: Point | None
    idle: int | None
    outcome: str
    peak: Point | None


def within_rows(samples: list[Point], first: int, last: int) -> list[Point]:
    """Return the samples of rows from first to last, both included."""
    return [sample for sample in samples if sample.row is not None and first <= sample.row <= last]


def outcome_of(idle: int | None, lit: bool, fell: bool) -> str:
    """Return how a start ended."""
    if idle is not None:
        return "started"
    if not lit:
        return "motoring"
    return "aborted" if fell else "cut"


def start_of(episode: list[Span], signals: Signals, speeds: Speeds, fell: bool) -> Start:
    """Return the start that opens an episode."""
    # Before the first speed sample the regime is known only by that sample, which is where turning was seen.
    first = max(episode[0].first, signals.speed[0].row or 0)
    last = episode[-1].last - 1 if fell else episode[-1].last
    idle = next((span.first for span in episode if span.regime == "running"), None)
    lit = light_off(within_rows(signals.temperature, first, last), speeds.light_off_rise)
    seen = within_rows(signals.temperature, first, last if idle is None else idle)
    peak = max(seen, key=lambda sample: sample.x, default=None)
    return Start(first, lit, idle, outcome_of(idle, lit is not None, fell), peak)


def start_document(start: Start, signals: Signals) -> dict[str, Any]:
    """Return a start as the verdict writes it."""
    lit = start.light_off
    return {
        "turning_s": signals.times[start.turning],
        "light_off_s": None if lit is None else lit.t,
        "speed_at_light_off": None if lit is None or lit.row is None else speed_at(signals, lit.row),
        "peak": None if start.peak is None else start.peak.x,
        "peak_s": None if start.peak is None else start.peak.t,
        "idle_s": None if start.idle is None else signals.times[start.idle],
        "outcome": start.outcome,
    }


def episode_seconds(episode: list[Span], start: Start | None, times: list[Fraction]) -> Fraction:
    """Return the time an episode adds to the hours run."""
    running = [span for span in episode if span.regime == "running"]
    if not running:
        return Fraction(0)
    begin = times[running[0].first]
    if start is None:
        begin = times[episode[0].first]
    elif start.light_off is not None:
        begin = start.light_off.t
    return max(times[running[-1].last] - begin, Fraction(0))


def starts_and_usage(spans: list[Span], signals: Signals, speeds: Speeds) -> tuple[list[Any], dict[str, Any]]:
    """Return the starts and the usage of a trace."""
    starts: list[Start] = []
    seconds = Fraction(0)
    for episode in episodes(spans):
        start = None
        if episode[0].regime == "starting":
            start = start_of(episode, signals, speeds, fell=episode[-1] is not spans[-1])
            starts.append(start)
        seconds += episode_seconds(episode, start, signals.times)
    usage = {
        "hours": seconds / 3600,
        "starts": sum(start.light_off is not None or start.idle is not None for start in starts),
        "cycles": sum(start.outcome == "started" for start in starts),
    }
    return [start_document(start, signals) for start in starts], usage
