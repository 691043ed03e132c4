"""What asks for a first start: a part fitted, a task done, a run after long standing, an engine that came in."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Final

from django.utils import timezone

from engines import actions
from engines.actions.first_starts import plan_open_on
from engines.first_starts import ENGINE_FITTED, PART_FITTED, STOOD, TASK_DONE
from engines.part_queries import lines_current
from logbook.first_start_state import has_run_since, stood_before

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import date, datetime

    from engines.models import Component, Engine, FirstStart, PartMovement, Run
    from logbook.models import Person

# A fitting that is entered so long after it was done is history, as where the record of an engine begins here.
HISTORY: Final = timedelta(days=30)
LATE: Final = timedelta(days=2)  # a run that is recorded later than that after it began is history


def asked_by_part(line: PartMovement, engine: Engine | None, by: Person) -> FirstStart | None:
    """Open a plan where a part was fitted at a place after which the type asks for one, by way of a module too.

    A fitting of long ago opens none: it is history.
    """
    if engine is None or timezone.now() - line.at > HISTORY:
        return None
    places = {line.position, *_places_in(line.component)} - {""}
    words = f"{line.component} was fitted."
    return actions.plan_ask(engine=engine, when=PART_FITTED, about=places, at=line.at, by=by, reason=words)


def _places_in(component: Component) -> Iterator[str]:
    """Yield the places of the parts that sit in a part, at every depth."""
    hosts = [component.pk]
    while hosts:
        inside = list(lines_current().filter(parent__in=hosts))
        yield from (line.position for line in inside)
        hosts = [line.component_id for line in inside]


def asked_by_task(name: str, engine: Engine | None, on: date, by: Person) -> FirstStart | None:
    """Open a plan where a task was done after which the type asks for one."""
    if engine is None:
        return None
    day = timezone.localtime().replace(hour=0, minute=0, second=0, microsecond=0)
    at = day - timedelta(days=(day.date() - on).days)
    return actions.plan_ask(engine=engine, when=TASK_DONE, about=[name], at=at, by=by)


def asked_by_standing(run: Run, by: Person) -> FirstStart | None:
    """Open a plan where a run that began just now came after its engine had stood longer than its type lets it."""
    is_history = run.recorded_at - run.started_at > LATE or has_run_since(run)
    if is_history or plan_open_on(run.engine):
        return None
    words = stood_before(run.engine, run.started_at)
    if not words:
        return None
    return actions.plan_ask(engine=run.engine, when=STOOD, at=run.started_at, by=by, reason=f"{words}.")


def asked_by_coming(engine: Engine, owner: str, at: datetime, by: Person) -> FirstStart | None:
    """Open a plan for an engine that came from another owner, where the type asks for one."""
    return actions.plan_ask(engine=engine, when=ENGINE_FITTED, at=at, by=by, reason=f"Its record came from {owner}.")
