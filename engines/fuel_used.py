"""Fuel used in a run: fuel flow added up over time, against the totaliser and what was uplifted."""

from dataclasses import dataclass

import numpy as np

from engines.traces import Floats

HOUR_S = 3600.0


@dataclass(frozen=True)
class FuelUsed:
    """What a trace's fuel flow adds up to, and the time over which it was and was not seen. [flow's unit × h, s, s]"""

    amount: float
    seen_s: float
    unseen_s: float


@dataclass(frozen=True)
class FuelCompared:
    """What was added up against another figure: the figure, the difference, and that as a share of the figure."""

    name: str
    figure: float
    difference: float
    share: float | None

    @property
    def percent(self) -> float | None:
        """Return the difference in percent of the figure. [%]"""
        return None if self.share is None else 100 * self.share


def fuel_used(times: Floats, flow: Floats, max_gap_s: float) -> FuelUsed | None:
    """Return what a fuel flow adds up to.

    Parameters
    ----------
    times : array of float, shape (n,)
        From the first row, not decreasing. [s]
    flow : array of float, shape (n,)
        Fuel flow, NaN where there is no valid sample. [amount/h]
    max_gap_s : float
        The longest step that still joins two samples. [s]

    Returns
    -------
    FuelUsed or None
        By the trapezoidal rule over joined samples; what was not seen is not guessed, it is told. None where there
        are fewer than two valid samples.

    References
    ----------
    Trapezoidal rule, exact for a flow that changes in straight lines between samples.
    """
    valid = np.isfinite(flow)
    if np.count_nonzero(valid) < 2:
        return None
    at, rate = times[valid], flow[valid]
    steps = np.diff(at)
    joined = steps <= max_gap_s + 1e-6
    amounts = (rate[1:] + rate[:-1]) / 2.0 * steps / HOUR_S
    whole = float(times[-1] - times[0])
    seen = float(steps[joined].sum())
    return FuelUsed(float(amounts[joined].sum()), seen, max(whole - seen, 0.0))


def fuel_compared(used: FuelUsed, figures: dict[str, float | None]) -> list[FuelCompared]:
    """Return what was added up against other figures of the same fuel.

    Parameters
    ----------
    used : FuelUsed
        What the flow added up to.
    figures : dict of str to float or None
        The others by name, None where not known; in the same unit.

    Returns
    -------
    list of FuelCompared
        One for each that is known: how much more was added up, negative for less. The share is None of nothing.
    """
    known = ((name, figure) for name, figure in figures.items() if figure is not None)
    return [
        FuelCompared(name, figure, used.amount - figure, (used.amount - figure) / figure if figure else None)
        for name, figure in known
    ]
