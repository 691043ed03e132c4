"""Scales from values to pixels, and the round figures at which an axis is marked."""

import math
from dataclasses import dataclass

import numpy as np

from inspections.drawing.words import SAME

CLOCK_STEPS = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1200, 1800, 3600, 7200, 10800, 21600)


@dataclass(frozen=True)
class Scale:
    """A scale of one or two straight parts; ``values`` increase, ``pixels`` belong to them."""

    values: tuple[float, ...]
    pixels: tuple[float, ...]

    def at(self, value: float) -> float:
        """Return the pixel of a value; beyond the scale's ends, the end's."""
        return float(np.interp(value, self.values, self.pixels))

    @property
    def low(self) -> float:
        """Return the least value drawn."""
        return self.values[0]

    @property
    def high(self) -> float:
        """Return the greatest value drawn."""
        return self.values[-1]


def round_step(span: float, count: int) -> float:
    """Return the step of 1, 2 or 5 times a power of ten that parts a span into about so many.

    Parameters
    ----------
    span : float
        Length to be parted, above 0. [any unit]
    count : int
        The most parts wanted.

    Returns
    -------
    float
        The step. [the span's unit]
    """
    rough = span / count
    power = 10.0 ** math.floor(math.log10(rough))
    return next(factor * power for factor in (1, 2, 5, 10) if factor * power >= rough * (1 - SAME))


def _multiples(low: float, high: float, step: float) -> list[float]:
    first, last = math.ceil(low / step - SAME), math.floor(high / step + SAME)
    return [round(k * step, 9) for k in range(first, last + 1)]


def value_ticks(low: float, high: float, count: int) -> list[float]:
    """Return round values within a span.

    Parameters
    ----------
    low, high : float
        Ends of the span, the second above the first. [any unit]
    count : int
        The most parts wanted.

    Returns
    -------
    list of float
        Multiples of 1, 2 or 5 times a power of ten.
    """
    return _multiples(low, high, round_step(high - low, max(count, 1)))


def clock_ticks(low: float, high: float, count: int) -> list[float]:
    """Return round times within a span: whole seconds, minutes or parts of an hour.

    Parameters
    ----------
    low, high : float
        Ends of the span, the second above the first. [s]
    count : int
        The most parts wanted.

    Returns
    -------
    list of float
        Multiples of one step. [s]
    """
    rough = (high - low) / max(count, 1)
    step = next((step for step in CLOCK_STEPS if step >= rough), math.ceil(rough / 3600) * 3600)
    return _multiples(low, high, step)
