"""A recorded trace in memory: one clock, several channels, gaps and all."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from engines.errors import TraceError

Floats = NDArray[np.float64]
BLOCK = 1 << 15  # samples looked at together, so that they stay in the processor's cache


def largest_step(times: Floats) -> float:
    """Return the longest time between neighbouring rows, 0 for fewer than two rows.

    Parameters
    ----------
    times : array of float, shape (n,)
        Time of each row from the first row. [s]

    Returns
    -------
    float
        The longest step. [s]

    Raises
    ------
    TraceError
        If time runs backwards; the message names the row, counted from 1.
    """
    longest = 0.0
    for start in range(0, max(times.size - 1, 0), BLOCK):
        steps = np.diff(times[start : start + BLOCK + 1])
        if steps.min() < 0:
            row = start + int(np.argmax(steps < 0)) + 2
            raise TraceError(f"Time runs backwards at sample {row}: {times[row - 1]:g} s after {times[row - 2]:g} s.")
        longest = max(longest, float(steps.max()))
    return longest


@dataclass(frozen=True)
class Trace:
    """Samples of several channels over one run.

    ``times`` has shape (n,), in seconds from the first row, never decreasing; each array of
    ``channels`` has shape (n,), in its channel's own unit, NaN where there is no valid value.
    """

    times: Floats
    channels: Mapping[str, Floats]
    step_s: float = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "step_s", largest_step(self.times))


@dataclass(frozen=True)
class Ignored:
    """Cells of one column that were not numbers, or rows without a time, with one example."""

    column: str
    cells: int
    example: str


@dataclass(frozen=True)
class ColumnMatch:
    """A column of the file read as a channel, in the unit the file gives it."""

    header: str
    channel: str
    unit: str


@dataclass(frozen=True)
class Recording:
    """What was read from one file: the trace, and what was and was not used of it."""

    trace: Trace
    matches: tuple[ColumnMatch, ...]
    unused: tuple[str, ...] = ()
    ignored: tuple[Ignored, ...] = ()
    started_at: datetime | None = None
