"""The first-start plan: after what an engine type asks for one, its steps, and how far a plan has come."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

PART_FITTED, ENGINE_FITTED, TASK_DONE = "part_fitted", "engine_fitted", "task_done"
STOOD, BY_HAND = "stood", "by_hand"
WHENS: Final = (PART_FITTED, ENGINE_FITTED, TASK_DONE, STOOD, BY_HAND)

ATTEMPT, DRY, WET, CHECK = "attempt", "dry_motoring", "wet_motoring", "check"
STEP_KINDS: Final = (ATTEMPT, DRY, WET, CHECK)
KIND_WORDS: Final = {
    ATTEMPT: "First-start attempt",
    DRY: "Dry motoring",
    WET: "Wet motoring",
    CHECK: "Check",
}
# The kind of run by which a step is done; a check is done by none.
RUN_KINDS: Final = {ATTEMPT: "first_start", DRY: "dry_motoring", WET: "wet_motoring"}
# Kinds of run in which the starter turns the engine and nothing burns.
MOTORING_KINDS: Final = ("motoring", "dry_motoring", "wet_motoring")
# What was stated of a run by which a plan is held, and by none of which the engine was run as usual.
OUTSIDE_OF_USE: Final = (*MOTORING_KINDS, "first_start")


@dataclass(frozen=True)
class Trigger:
    """After what a type asks for a first-start plan.

    ``about`` is the place of a part, the name of a task, or what a person found; ``days`` how long it may stand. [d]
    """

    when: str
    about: str = ""
    days: int = 0

    @property
    def words(self) -> str:
        """Return what happened, in words."""
        said = {
            PART_FITTED: f"A part was fitted at “{self.about}”",
            ENGINE_FITTED: "The engine was fitted, or came from another owner",
            TASK_DONE: f"“{self.about}” was done",
            STOOD: f"The engine stood longer than {self.days} days",
            BY_HAND: self.about,
        }
        return said[self.when]


@dataclass(frozen=True)
class Ending:
    """One way in which a step may end.

    ``done`` says that it is as wanted, ``lit`` that the engine lit up, ``then`` what follows in words, ``again_from``
    the name of the step from which the plan is begun again; "" for the step itself.
    """

    name: str
    done: bool = False
    lit: bool = False
    then: str = ""
    again_from: str = ""


AS_WANTED: Final[tuple[Ending, ...]] = (Ending("As it should be", done=True), Ending("Not as it should be"))


@dataclass(frozen=True)
class StepRule:
    """One step of a plan: what is done, what is watched for, how it may end, and how often in a row as wanted."""

    name: str
    kind: str = ATTEMPT
    watch: str = ""
    endings: tuple[Ending, ...] = AS_WANTED
    in_a_row: int = 1

    @property
    def run_kind(self) -> str:
        """Return the kind of run by which the step is done; "" for a check."""
        return RUN_KINDS.get(self.kind, "")

    def ending(self, name: str) -> Ending | None:
        """Return the ending of that name; None where the step has none."""
        return next((ending for ending in self.endings if ending.name == name), None)


@dataclass(frozen=True)
class FirstStartRules:
    """What a type asks of a first start: after what, step by step, and where that comes from."""

    triggers: tuple[Trigger, ...]
    steps: tuple[StepRule, ...]
    source: str = ""

    def asked_after(self, when: str, about: Iterable[str] = ("",)) -> Trigger | None:
        """Return the first trigger of a kind about one of some things; None where the type states none."""
        wanted = set(about)
        return next((one for one in self.triggers if one.when == when and one.about in wanted), None)

    @property
    def stood_days(self) -> int | None:
        """Return how long an engine may stand before the type asks for a first start, None for however long. [d]"""
        return next((trigger.days for trigger in self.triggers if trigger.when == STOOD), None)


@dataclass(frozen=True)
class Line:
    """What was recorded of a step: which one, and how it ended."""

    step: str
    ending: str


@dataclass(frozen=True)
class Progress:
    """How far a plan has come: how many steps are done, and how often in a row the one in turn has ended as wanted."""

    steps: tuple[StepRule, ...]
    done: int = 0
    in_a_row: int = 0
    last: Ending | None = None

    @property
    def step(self) -> StepRule | None:
        """Return the step in turn; None where all are done."""
        return self.steps[self.done] if self.done < len(self.steps) else None

    @property
    def words(self) -> str:
        """Return how far it has come, in words."""
        if self.step is None:
            return "every step is done, and it is to be signed"
        row = f", {self.in_a_row} of {self.step.in_a_row} in a row" if self.in_a_row else ""
        return f"step {self.done + 1} of {len(self.steps)} is in turn: {self.step.name}{row}"


def progress_of(rules: FirstStartRules, lines: Sequence[Line]) -> Progress:
    """Return how far a plan has come.

    Parameters
    ----------
    rules : FirstStartRules
        The type's steps.
    lines : sequence of Line
        What was recorded since the plan was asked for last, in order.

    Returns
    -------
    Progress
        The step in turn is the first that has not ended as wanted as often in a row as it has to. An ending that is
        not as wanted begins its step again, or an earlier one where the ending names one, and with it every step
        after that. A line of a step that was not in turn counts for nothing.
    """
    found = Progress(rules.steps)
    for line in lines:
        step = found.step
        ending = step.ending(line.ending) if step is not None and step.name == line.step else None
        if step is not None and ending is not None:
            found = _gone_on(found, step, ending)
    return found


def _gone_on(found: Progress, step: StepRule, ending: Ending) -> Progress:
    """Return how far a plan has come after the step in turn ended in some way."""
    row = found.in_a_row + 1 if ending.done else 0
    if row >= step.in_a_row:
        return Progress(found.steps, found.done + 1, 0, ending)
    names = [one.name for one in found.steps]
    place = names.index(ending.again_from) if ending.again_from else found.done
    return Progress(found.steps, place, row, ending)


def stood_too_long(ran: date | None, today: date, days: int | None) -> int | None:
    """Return how long an engine has stood, where that is longer than its type lets it stand without a first start.

    Parameters
    ----------
    ran : date or None
        The day of its last run, or of the end of its last plan where that came later; None where none is recorded.
    today : date
        The day.
    days : int or None
        How long the type lets it stand; None for however long. [d]

    Returns
    -------
    int or None
        Days that it has stood; None where that is not too long. Of an engine that never ran by the record nothing is
        known, and nothing is said: how it came into the record tells more.
    """
    if ran is None or days is None:
        return None
    stood = (today - ran).days
    return stood if stood > days else None


def stood_words(stood: int, days: int) -> str:
    """Return why an engine that has stood too long asks for a plan.

    Parameters
    ----------
    stood, days : int
        How long it has stood, and how long its type lets it stand. [d]

    Returns
    -------
    str
        A sentence without its full stop.
    """
    return f"It has stood for {stood} days, and its type asks for a first start after more than {days}"
