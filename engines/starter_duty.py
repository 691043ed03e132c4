"""The starter's duty cycle as a type states it, and how a series of engagements keeps to it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from engines.document_fields import Fields

MOST_TURNS: Final = 10


@dataclass(frozen=True)
class DutyTurn:
    """One turn of a duty cycle: engaged for at most so long, then at rest for at least so long. [s]"""

    most_s: float
    rest_s: float


@dataclass(frozen=True)
class DutyCycle:
    """The turns of a duty cycle, in order; after the last rest it begins again, and so it does after one as long."""

    turns: tuple[DutyTurn, ...]
    source: str = ""


@dataclass(frozen=True)
class Engagement:
    """How one engagement keeps to the duty cycle.

    ``turn`` counts from 1; ``rested_s`` is the rest before it, None for the first of a series; ``needed_s`` is the rest
    that was to come before it, ``rest_s`` the rest that is to follow it. [s]
    """

    turn: int
    lasted_s: float
    most_s: float
    rested_s: float | None
    needed_s: float | None
    rest_s: float

    @property
    def is_kept(self) -> bool:
        """Return whether it was short enough, after rest enough."""
        has_rested = self.rested_s is None or self.needed_s is None or self.rested_s >= self.needed_s
        return has_rested and self.lasted_s <= self.most_s


def duty_read(root: Fields) -> DutyCycle | None:
    """Return a type's duty cycle of the starter.

    Parameters
    ----------
    root : Fields
        The document.

    Returns
    -------
    DutyCycle or None
        The cycle, faults noted in ``root``; None where the document has none.
    """
    if not root.has("starter"):
        return None
    item = root.child("starter")
    item.allow("duty_cycle", "source")
    turns = []
    for turn in item.items("duty_cycle", least=1):
        turn.allow("most_s", "rest_s")
        turns.append(DutyTurn(turn.number("most_s", least=0.0), turn.number("rest_s", least=0.0)))
    if len(turns) > MOST_TURNS:
        item.fault("duty_cycle", f"must not have more than {MOST_TURNS} turns")
    return DutyCycle(tuple(turns), source=item.text("source", default=""))


def duty_of(spans: Sequence[tuple[float, float]], cycle: DutyCycle) -> list[Engagement]:
    """Return how a series of engagements keeps to a duty cycle; starts, dry and wet motoring count alike.

    Parameters
    ----------
    spans : sequence of (float, float)
        When the starter was engaged and when it was let go, in order. [s]
    cycle : DutyCycle
        The type's duty cycle.

    Returns
    -------
    list of Engagement
        One for each span. The series begins anew after a rest as long as the longest of the cycle.
    """
    longest = max(turn.rest_s for turn in cycle.turns)
    found: list[Engagement] = []
    turn = 0
    let_go: float | None = None
    for start, end in spans:
        rested: float | None = None if let_go is None else start - let_go
        needed: float | None = None
        if rested is None or rested >= longest:
            turn, rested = 0, None
        else:
            needed = cycle.turns[turn].rest_s
            turn = (turn + 1) % len(cycle.turns)
        data = cycle.turns[turn]
        found.append(Engagement(turn + 1, end - start, data.most_s, rested, needed, data.rest_s))
        let_go = end
    return found


def duty_words(one: Engagement) -> str:
    """Return how one engagement keeps to the duty cycle, in sentences.

    Parameters
    ----------
    one : Engagement
        The engagement.

    Returns
    -------
    str
        How long it lasted and after what rest, beside what the type asks for.
    """
    words = f"Turn {one.turn} of the starter's duty cycle: engaged for {one.lasted_s:.1f} s"
    words += f", and the type asks for no more than {one.most_s:g} s."
    if one.rested_s is not None and one.needed_s is not None:
        words += f" It had rested {one.rested_s:.0f} s, and the type asks for at least {one.needed_s:g} s."
    return words if one.is_kept else f"{words} Not as asked."
