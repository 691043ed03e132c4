"""The course of a start around its light-off, and what an engine's own past starts were like, moment by moment."""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median, quantiles
from typing import Final

import numpy as np

from engines.charts import EngineTypeData
from engines.start_rules import Corners
from engines.start_signals import Samples, samples_of
from engines.starts import StartFigures
from engines.traces import Trace

GRID: Final = tuple(float(at) for at in range(-10, 61))  # moments from light-off [s]
FEWEST: Final = 3  # past starts of which a median is said

Course = tuple[float | None, ...]  # a value at each moment of the grid, None where there is none


@dataclass(frozen=True)
class StartCurve:
    """Temperature and speed at each moment of the grid. [units of the type's temperature and speed channels]"""

    temperature: Course
    speed: Course


@dataclass(frozen=True)
class Spread:
    """Of some past starts: how many, and their lower quartile, median and upper quartile at each moment."""

    count: int
    low: Course
    middle: Course
    high: Course


@dataclass(frozen=True)
class Outside:
    """How a course left an envelope: from when to when since light-off, and by how much at most. [s, channel's unit]"""

    start_s: float
    end_s: float
    most: float


def origin_of(figures: StartFigures) -> float:
    """Return the moment from which a start's course counts.

    Parameters
    ----------
    figures : StartFigures
        The start.

    Returns
    -------
    float
        Light-off, or turning where there was none. [s]
    """
    return figures.turning_s if figures.light_off_s is None else figures.light_off_s


def curve_of(trace: Trace, data: EngineTypeData, figures: StartFigures) -> StartCurve:
    """Return the course of a start.

    Parameters
    ----------
    trace : Trace
        The recorded run.
    data : EngineTypeData
        The engine type; it has a segmentation.
    figures : StartFigures
        The start.

    Returns
    -------
    StartCurve
        Read along the straight lines between samples, never across a gap.
    """
    assert data.segmentation is not None
    names = (data.segmentation.temperature, data.segmentation.speed)
    temperature, speed = (_course(samples_of(trace, name), figures, data.gap_of(name)) for name in names)
    return StartCurve(temperature, speed)


def _course(samples: Samples | None, figures: StartFigures, gap_s: float) -> Course:
    if samples is None:
        return (None,) * len(GRID)
    return tuple(samples.at(origin_of(figures) + at, gap_s) for at in GRID)


def spread_of(courses: Sequence[Course]) -> Spread:
    """Return what some past starts were like, moment by moment.

    Parameters
    ----------
    courses : sequence of Course
        A course of each past start, all on the grid.

    Returns
    -------
    Spread
        None at a moment of which fewer than three starts have a value.
    """
    moments = [[value for value in at if value is not None] for at in zip(*courses, strict=True)]
    if not moments:
        nothing = (None,) * len(GRID)
        return Spread(0, nothing, nothing, nothing)
    parts = [middle_half(values) if len(values) >= FEWEST else (None, None, None) for values in moments]
    low, middle, high = zip(*parts, strict=True)
    return Spread(len(courses), low, middle, high)


def middle_half(values: Sequence[float]) -> tuple[float, float, float]:
    """Return the lower quartile, the median and the upper quartile of some figures.

    Parameters
    ----------
    values : sequence of float
        Two figures or more.

    Returns
    -------
    tuple of (float, float, float)
        Quartiles by straight lines between the ordered figures, the lowest and the highest included. [figures' unit]
    """
    low, _, high = quantiles(values, n=4, method="inclusive")
    return low, median(values), high


def outside_of(
    trace: Trace, channel: str, figures: StartFigures, corners: Corners, *, is_highest: bool
) -> Outside | None:
    """Return how a start left an envelope.

    Parameters
    ----------
    trace : Trace
        The recorded run.
    channel : str
        The channel that the envelope is of.
    figures : StartFigures
        The start.
    corners : Corners
        The envelope; it says nothing before its first corner and after its last.
    is_highest : bool
        Whether the envelope is the highest that is usual; otherwise it is the lowest.

    Returns
    -------
    Outside or None
        None where it stayed within, or nothing is recorded there; what a start that did not light does is not held
        against it.
    """
    samples = samples_of(trace, channel)
    if samples is None or not corners or figures.light_off_s is None:
        return None
    at, values = zip(*corners, strict=True)
    last = min(figures.light_off_s + at[-1], figures.end_s)
    during = samples.between(max(figures.light_off_s + at[0], figures.turning_s), last)
    since = during.times - figures.light_off_s
    over = (during.values - np.interp(since, at, values)) * (1.0 if is_highest else -1.0)
    rows = np.flatnonzero(over > 0)
    if not rows.size:
        return None
    return Outside(float(since[rows[0]]), float(since[rows[-1]]), float(over.max()))
