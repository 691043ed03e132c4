"""The part of an engine type document that says after what a first start is asked for, and how it is made."""

from typing import Final

from engines.document_fields import Fields
from engines.first_starts import (
    AS_WANTED,
    BY_HAND,
    CHECK,
    PART_FITTED,
    STEP_KINDS,
    STOOD,
    TASK_DONE,
    WHENS,
    Ending,
    FirstStartRules,
    StepRule,
    Trigger,
)

MOST_TRIGGERS: Final = 20
MOST_STEPS: Final = 20
MOST_IN_A_ROW: Final = 10
MOST_NAME: Final = 120
# The key that says what a trigger is about, by its kind.
ABOUT: Final = {PART_FITTED: "position", TASK_DONE: "task", BY_HAND: "name"}
COUNTERS: Final = ("run_time", "starts", "cycles", "partial_cycles")


def first_start_read(root: Fields, positions: frozenset[str]) -> FirstStartRules | None:
    """Return what a type asks of a first start.

    Parameters
    ----------
    root : Fields
        The document.
    positions : frozenset of str
        The places for parts that the document names.

    Returns
    -------
    FirstStartRules or None
        Triggers and steps, faults noted in ``root``; None where the document states none.
    """
    if not root.has("first_start"):
        return None
    item = root.child("first_start")
    item.allow("triggers", "steps", "source")
    triggers = tuple(_trigger(one, positions) for one in _few(item, "triggers", MOST_TRIGGERS))
    steps: list[StepRule] = []
    for one in _few(item, "steps", MOST_STEPS):
        steps.append(_step(one, [step.name for step in steps]))
    item.unique("steps", "name")
    if len({trigger.days for trigger in triggers if trigger.when == STOOD}) > 1:
        item.fault("triggers", f"must not have more than one “{STOOD}”")
    return FirstStartRules(triggers, tuple(steps), source=item.text("source", default=""))


def motoring_read(root: Fields) -> tuple[str, ...]:
    """Return which counters motoring counts for, by the document of a type.

    Parameters
    ----------
    root : Fields
        The document.

    Returns
    -------
    tuple of str
        Of run_time, starts, cycles and partial_cycles those that count, faults noted in ``root``; none where the
        document does not say otherwise.
    """
    if not root.has("motoring"):
        return ()
    item = root.child("motoring")
    item.allow("counts", "source")
    names = item.texts("counts")
    for name in names:
        if name not in COUNTERS:
            item.fault("counts", f"“{name}” is none of {', '.join(COUNTERS)}")
    return names


def _few(parent: Fields, key: str, most: int) -> list[Fields]:
    items = parent.items(key, least=1)
    if len(items) > most:
        parent.fault(key, f"must not have more than {most}")
    return items


def _trigger(item: Fields, positions: frozenset[str]) -> Trigger:
    when = item.choice("when", WHENS)
    if not item.has("when"):
        item.fault("when", f"is missing; it is one of {', '.join(WHENS)}")
    key = ABOUT.get(when, "")
    item.allow("when", *([key] if key else []), *(["days"] if when == STOOD else []))
    about = item.text(key, most=MOST_NAME) if key else ""
    if when == PART_FITTED and about and about not in positions:
        item.fault(key, f"“{about}” is not a place for parts of this type; there are {_listed(positions)}")
    return Trigger(when, about, item.whole("days", least=1) if when == STOOD else 0)


def _listed(names: frozenset[str]) -> str:
    return ", ".join(sorted(names)) or "none"


def _step(item: Fields, before: list[str]) -> StepRule:
    item.allow("name", "kind", "watch", "endings", "in_a_row")
    name = item.text("name", most=MOST_NAME)
    kind = item.choice("kind", STEP_KINDS)
    in_a_row = item.whole("in_a_row", least=1) if item.has("in_a_row") else 1
    if in_a_row > MOST_IN_A_ROW:
        item.fault("in_a_row", f"must not be above {MOST_IN_A_ROW}")
    endings: tuple[Ending, ...] = AS_WANTED
    if item.has("endings"):
        endings = tuple(_ending(one, [*before, name], is_run=kind != CHECK) for one in item.items("endings", least=2))
        item.unique("endings", "name")
        if not any(ending.done for ending in endings):
            item.fault("endings", "must have one that is as wanted: done")
    return StepRule(name, kind, item.text("watch", default=""), endings, in_a_row)


def _ending(item: Fields, steps: list[str], *, is_run: bool) -> Ending:
    item.allow("name", "done", "then", "again_from", *(["lit"] if is_run else []))
    again_from = item.text("again_from", default="", most=MOST_NAME)
    done = item.flag("done", default=False)
    if again_from and done:
        item.fault("again_from", "goes with an ending that is not as wanted")
    elif again_from and again_from not in steps:
        item.fault("again_from", f"“{again_from}” must be the name of this step or of one before it")
    return Ending(
        name=item.text("name", most=MOST_NAME),
        done=done,
        lit=item.flag("lit", default=False) if is_run else False,
        then=item.text("then", default=""),
        again_from=again_from,
    )
