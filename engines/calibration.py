"""An engine's own calibration of an indication: pairs of what the instrument reads and what that is."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from typing import Final

import numpy as np

from engines.numbers_typed import number_typed
from engines.traces import Floats
from engines.units import Number, convert, symbol_of, unit_fits, unit_known

LEAST_PAIRS: Final = 2
Pair = tuple[float, float]


@dataclass(frozen=True)
class Indication:
    """How a channel of a type may be indicated: by instruments in other units, and what 100 % of it is.

    ``reads`` are units that an engine's own calibration turns into the channel's; ``full`` is what 100 % is, in
    ``full_unit``, None where the type does not say.
    """

    channel: str
    reads: tuple[str, ...] = ()
    full: float | None = None
    full_unit: str = ""


@dataclass(frozen=True)
class Calibration:
    """What an instrument of one engine reads, in ``reads``, against what that is, in ``unit``; both increase."""

    channel: str
    reads: str
    unit: str
    pairs: tuple[Pair, ...]
    begins_on: date | None = None
    source: str = ""

    def value(self, read: Number) -> Number:
        """Return what readings of the instrument are. [reads → unit]"""
        return _along(self.pairs, read)

    def indicated(self, value: Number) -> Number:
        """Return what the instrument reads at a value. [unit → reads]"""
        return _along(tuple((of, read) for read, of in self.pairs), value)

    def holds(self, read: float) -> bool:
        """Return whether a reading lies between the first pair and the last, so that it is not read on beyond them."""
        return self.pairs[0][0] <= read <= self.pairs[-1][0]


def _along(pairs: Sequence[Pair], at: Number) -> Number:
    """Return the broken line through some pairs, its first and last piece carried on beyond its ends."""
    xs, ys = (np.array(column) for column in zip(*pairs, strict=True))
    piece = np.clip(np.searchsorted(xs, at, side="right") - 1, 0, xs.size - 2)
    share = (at - xs[piece]) / (xs[piece + 1] - xs[piece])
    found: Number = ys[piece] + share * (ys[piece + 1] - ys[piece])
    return found


def calibrated(values: Floats, unit: str, calibration: Calibration | None) -> Floats | None:
    """Return readings of an instrument in the channel's unit, by the engine's own calibration.

    Parameters
    ----------
    values : array of float, shape (n,)
        What the instrument read. [unit]
    unit : str
        The unit that it reads in.
    calibration : Calibration or None
        The engine's, None where it has none.

    Returns
    -------
    array of float, shape (n,), or None
        In the calibration's ``unit``; None where there is no calibration, or it is of another kind of indication.

    Notes
    -----
    Beyond the last pair the last piece of the line is carried on, since a limit mostly lies there: a reading above
    all that was calibrated is not less than the line says.
    """
    if calibration is None or not unit_fits(unit, calibration.reads):
        return None
    return calibration.value(convert(values, unit, calibration.reads))


def pairs_typed(text: str) -> tuple[Pair, ...]:
    """Return the pairs that a person wrote down, one a line, for example ``"12.5 = 40"``.

    Parameters
    ----------
    text : str
        Lines; blank ones are left out.

    Returns
    -------
    tuple of (float, float)
        Reading and value of each.

    Raises
    ------
    ValueError
        If a line is not two numbers with = between them; the message names the line.
    """
    return tuple(_pair(k, line) for k, line in enumerate(text.splitlines(), 1) if line.strip())


def _pair(number: int, line: str) -> Pair:
    parts = line.split("=")
    if len(parts) != 2:
        raise ValueError(f"Line {number}, “{line.strip()}”: write what is read = what it is, for example 12.5 = 40.")
    try:
        read, value = (float(number_typed(part)) for part in parts)
    except ValueError as error:
        raise ValueError(f"Line {number}: {error}") from error
    return read, value


def calibration_faults(calibration: Calibration, indications: Sequence[Indication], today: date) -> dict[str, str]:
    """Return what stands against an engine's calibration.

    Parameters
    ----------
    calibration : Calibration
        As it is stated.
    indications : sequence of Indication
        What the type says of its channels.
    today : date
        The day of signing.

    Returns
    -------
    dict of str to str
        Field to sentence; empty where it may be signed.
    """
    of = next((indication for indication in indications if indication.channel == calibration.channel), None)
    faults = _unit_faults(calibration, of) | _pair_faults(calibration.pairs)
    if calibration.begins_on is None:
        faults["on"] = "Give the day from which it holds."
    elif calibration.begins_on > today:
        faults["on"] = "That day is still to come."
    if not calibration.source.strip():
        faults["source"] = "Name the sheet it is taken from, or by what it was calibrated."
    return faults


def _unit_faults(calibration: Calibration, of: Indication | None) -> dict[str, str]:
    if of is None or not of.reads:
        return {"channel": "Choose a channel whose type says that it is indicated in another unit."}
    if unit_known(calibration.reads) is None or not any(unit_fits(calibration.reads, unit) for unit in of.reads):
        listed = " or ".join(symbol_of(unit) for unit in of.reads)
        return {"reads": f"The type says that it is read in {listed}; write one of them, or the like."}
    return {}


def _pair_faults(pairs: Sequence[Pair]) -> dict[str, str]:
    if len(pairs) < LEAST_PAIRS:
        return {"pairs": "Give at least two pairs, one a line: what is read = what it is."}
    if any(b[0] <= a[0] or b[1] <= a[1] for a, b in pairwise(pairs)):
        return {"pairs": "Both figures must increase from one line to the next."}
    return {}
