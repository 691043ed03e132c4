"""Random numbers that are the same for the same seed, whatever the machine and the version of NumPy."""

import numpy as np
from numpy.typing import NDArray

from engines.traces import Floats

PIECES, PIECE_RANGE = 4, 65536.0  # a raw number is four pieces of sixteen bits
UNIT = 2.0**-64


class Draws:
    """One stream of random numbers of a seed; streams of other numbers are independent of it.

    Only the raw bits of the generator are used: NumPy keeps those as they are from version to version, and
    its distributions not.
    """

    def __init__(self, seed: int, stream: int) -> None:
        self._bits = np.random.default_rng([seed, stream]).bit_generator

    def _raw(self, count: int) -> NDArray[np.uint64]:
        return np.asarray(self._bits.random_raw(count), dtype=np.uint64)

    def between(self, low: float, high: float) -> float:
        """Return a number between two others, all equally likely."""
        return low + (high - low) * float(self._raw(1)[0]) * UNIT

    def noise(self, count: int, spread: float) -> Floats:
        """Return bell-shaped noise around 0, never beyond 3.5 times its standard deviation ``spread``."""
        pieces = self._raw(count).view(np.uint16).reshape(count, PIECES).astype(np.float64)
        centred = pieces.sum(axis=1) - PIECES * (PIECE_RANGE - 1) / 2
        noise: Floats = centred * (spread * np.sqrt(12.0 / PIECES) / PIECE_RANGE)
        return noise

    def chosen(self, count: int, one_in: int) -> NDArray[np.bool_]:
        """Return which of so many are chosen, on average one in so many, never two neighbours."""
        chosen: NDArray[np.bool_] = self._raw(count) % np.uint64(one_in) == 0
        chosen[1:] &= ~chosen[:-1]
        return chosen
