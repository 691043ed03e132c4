"""Costs side by side: medians of several rounds in one process, as a ratio."""

import time
from collections.abc import Callable
from dataclasses import dataclass
from statistics import median

ROUNDS = 7


@dataclass(frozen=True)
class Ratio:
    """How one cost compares with another, both in one unit, and what the design aims for."""

    name: str
    cost: float
    other: float
    aim: str
    unit: str = "ms"

    def line(self) -> str:
        """Return the ratio as a line of the closing table."""
        costs = f"{self.cost:,.1f} : {self.other:,.1f} {self.unit}"
        return f"{self.name:<62} {self.cost / self.other:>9.2f}   {self.aim:<13} {costs}"


def seconds(work: Callable[[], object]) -> float:
    """Return how long a piece of work takes once. [s]"""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def medians(*works: Callable[[], object], rounds: int = ROUNDS) -> list[float]:
    """Return the median time of each piece of work, taken in turn so that a busy moment strikes all alike. [ms]

    Each is done once unmeasured before it is measured, so that none pays for what the one before left in the cache.
    """
    taken = [[(work(), seconds(work))[1] for work in works] for _ in range(rounds)]
    return [1000 * median(column) for column in zip(*taken, strict=True)]
