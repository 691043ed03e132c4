"""What a photo can be of, as an address names it, and how it is found for a person."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from django.db.models import Q
from django.urls import reverse

from engines.errors import DomainError
from engines.models import Engine, Run
from engines.queries import run_for
from inspections import states
from inspections.models import CorrectiveAction, Finding, Inspection, Step
from inspections.queries import inspection_for
from logbook.maintenance.rows import Work
from logbook.models import Person
from logbook.outbox.rows import Arrival

LONGEST: Final = 60  # characters of a text that stand in words for it


@dataclass(frozen=True)
class Thing:
    """What a photo is of: its engine, what to call it, the rows that it hangs on, and where it is looked at."""

    engine: Engine
    words: str
    rows: dict[str, Any]
    link: str
    closed: str = ""

    @property
    def own(self) -> Q:
        """Return by what the photos of the same run, inspection or work are found."""
        return Q(**{name: row for name, row in self.rows.items() if name in ("run", "inspection", "work")})


def thing_for(user: Person, thing: str, key: str) -> Thing:
    """Return what a person's photo is of; Model.DoesNotExist for what is not there or not theirs to see."""
    find = THINGS.get(thing)
    if find is None:
        raise Run.DoesNotExist(f"No photo is taken of “{thing}”.")
    try:
        return find(user, key)
    except ValueError as error:
        raise Run.DoesNotExist(f"{thing} {key} is not there.") from error


def _run(user: Person, key: str) -> Thing:
    run = run_for(user, UUID(key))
    closed = "This run is void, and nothing is added to it." if run.is_void else ""
    return Thing(run.engine, "the run", {"run": run}, reverse("run_detail", args=[run.pk]), closed)


def _of_inspection(inspection: Inspection, words: str, **row: Any) -> Thing:
    link = reverse("inspection_detail", args=[inspection.pk])
    return Thing(inspection.engine, words, {"inspection": inspection, **row}, link)


def _inspection(user: Person, key: str) -> Thing:
    return _of_inspection(inspection_for(user, int(key)), "the inspection")


def _step(user: Person, key: str) -> Thing:
    step = Step.objects.get(pk=int(key))
    return _of_inspection(inspection_for(user, step.inspection_id), f"step {step.position}", step=step)


def _finding(user: Person, key: str) -> Thing:
    finding = Finding.objects.get(pk=int(key))
    words = f"the finding “{finding.text[:LONGEST]}”"
    return _of_inspection(inspection_for(user, finding.inspection_id), words, finding=finding)


def _action(user: Person, key: str) -> Thing:
    action = CorrectiveAction.objects.get(pk=int(key))
    words = f"the action “{action.description[:LONGEST]}”"
    return _of_inspection(inspection_for(user, action.inspection_id), words, action=action)


def _work(user: Person, key: str) -> Thing:
    own = Work.objects.filter(operator_id=user.operator_id or 0).select_related("engine")
    work = own.get(pk=int(key))
    closed = "This work was dropped unsigned." if work.state == Work.State.DROPPED else ""
    return Thing(work.engine, "the work", {"work": work}, reverse("work_detail", args=[work.pk]), closed)


def _item(user: Person, key: str) -> Thing:
    """Return what became of an item of the person's own outbox."""
    arrival = Arrival.objects.get(author=user, item=UUID(key))
    thing, _, made = str(arrival.answer.get("made", "")).partition("/")
    return thing_for(user, thing, made)


THINGS: Final[dict[str, Callable[[Person, str], Thing]]] = {
    "run": _run,
    "inspection": _inspection,
    "step": _step,
    "finding": _finding,
    "action": _action,
    "work": _work,
    "item": _item,
}


def is_settled(thing: Thing) -> bool:
    """Return whether what a photo is of is signed already, so that the photo comes after it."""
    inspection, work = thing.rows.get("inspection"), thing.rows.get("work")
    if inspection is not None:
        return bool(inspection.state == states.APPROVED)
    return work is not None and work.state == Work.State.SIGNED


def closed_refuse(thing: Thing) -> None:
    """Raise DomainError "photo_refused" where nothing is added to any more."""
    if thing.closed:
        raise DomainError(thing.closed, code="photo_refused")
