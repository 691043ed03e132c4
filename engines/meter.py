"""An hour meter's reading held against the last one and the run's own time: what does not fit, and what was meant."""

from dataclasses import dataclass
from decimal import Decimal

LONGEST_RUN_H = Decimal(5)
TIMER_TOLERANCE_H = Decimal("0.2")


@dataclass(frozen=True)
class MeterBefore:
    """The last reading of an hour meter, in words when it was read, and what the engine ran since by other runs. [h]"""

    hours: Decimal
    said: str = ""
    between_h: Decimal = Decimal(0)


def meter_doubts(typed: Decimal, before: MeterBefore, run_h: Decimal | None = None) -> tuple[str, ...]:
    """Return which checks a reading at the end of a run does not stand.

    Parameters
    ----------
    typed : Decimal
        The reading. [h]
    before : MeterBefore
        The reading before it, and the run time of runs in between whose meter nobody read.
    run_h : Decimal, optional
        What the run took by its timer or trace, None where that is not known. [h]

    Returns
    -------
    tuple of str
        Of ``"backwards"``, ``"band"`` and ``"timer"``, those that fail.

    Notes
    -----
    A run is taken to last from 0 to 5 h, and meter and timer to agree within 0.2 h, which is what rounding both to a
    tenth and reading them a few minutes apart can make. Of random slips of one key (a wrong digit, two neighbours
    swapped, the point left out) the first check alone finds about 39 %, the first two 76 %, all three 93 %.

    References
    ----------
    The rates are computed for this project; ``tests/engines/test_meter.py`` computes them again.
    """
    change = typed - before.hours - before.between_h
    doubts = []
    if typed < before.hours:
        doubts.append("backwards")
    if not 0 <= change <= LONGEST_RUN_H:
        doubts.append("band")
    if run_h is not None and abs(change - run_h) > TIMER_TOLERANCE_H:
        doubts.append("timer")
    return tuple(doubts)


def meter_guess(typed: Decimal, before: MeterBefore, run_h: Decimal | None = None) -> Decimal | None:
    """Return what was meant where two neighbouring digits were swapped.

    Parameters
    ----------
    typed, before, run_h
        As for :func:`meter_doubts`.

    Returns
    -------
    Decimal or None
        The reading with one swap undone that stands every check, the one nearest to the run's time if there are
        several; None where none does. [h]

    Notes
    -----
    A swap of neighbouring whole-number digits shifts a reading by a multiple of 9.
    """
    expected = before.hours + before.between_h + (run_h or 0)
    fitting = [guess for guess in _swaps(typed) if not meter_doubts(guess, before, run_h)]
    return min(fitting, key=lambda guess: abs(guess - expected), default=None)


def _swaps(number: Decimal) -> list[Decimal]:
    """Return the number with each pair of neighbouring digits swapped; the point stays where it is."""
    text = f"{number:f}"
    places = [k for k, sign in enumerate(text) if sign.isdigit()]
    found = []
    for a, b in zip(places, places[1:], strict=False):
        signs = list(text)
        signs[a], signs[b] = signs[b], signs[a]
        found.append(Decimal("".join(signs)))
    return [guess for guess in found if guess != number]


def meter_question(typed: Decimal, before: MeterBefore, run_h: Decimal | None = None) -> str:
    """Return what to ask about a reading, or "" where it stands every check.

    Parameters
    ----------
    typed, before, run_h
        As for :func:`meter_doubts`.

    Returns
    -------
    str
        A sentence or two, with the reading that may have been meant.
    """
    doubts = meter_doubts(typed, before, run_h)
    if not doubts:
        return ""
    guess = meter_guess(typed, before, run_h)
    meant = "" if guess is None else f" Did you mean {guess:f}?"
    return f"{_said(typed, before, run_h, doubts)}{meant}"


def _said(typed: Decimal, before: MeterBefore, run_h: Decimal | None, doubts: tuple[str, ...]) -> str:
    last = f"{before.hours:f} h{before.said}"
    moved = typed - before.hours
    if "backwards" in doubts:
        return f"The meter went back: {typed:f} h is {-moved:f} h less than {last}."
    more = f"{typed:f} h is {moved:f} h more than {last}"
    if run_h is not None and "timer" in doubts:
        return (
            f"The meter and the run time disagree: {more}, and the engine ran {run_h + before.between_h:.2f} h since."
        )
    since = f", of which other runs took {before.between_h:.2f} h" if before.between_h else ""
    return f"{more}{since}; one run takes from 0 to {LONGEST_RUN_H} h."
