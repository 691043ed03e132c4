"""Tasks on the stage: of the engine, many, some done, so that a query for each would show."""

from datetime import timedelta

from django.utils import timezone

from engines.actions import Accomplishment, task_add, task_record
from engines.models import Engine, Task
from engines.standing import standings_of
from logbook.models import DigestChoice, Person
from logbook.notices import stop_key
from tests.visitors import Places

DOCUMENT = {
    "kind": "directive",
    "mandatory": True,
    "number": "INV-1",
    "initial": {"run_time_h": 400, "days": 40},
    "repeat": {"run_time_h": 400, "months": 2},
    "extension": {"days": 10},
    "counts_from": "begun",
    "source": "invented for the tests",
}


def tasks_set(engine: Engine, by: Person, rows: int) -> Task:
    """Give an engine many directives, every one done once; return the first."""
    day = timezone.localdate() - timedelta(days=20)
    tasks = [
        task_add(engine=engine, document=DOCUMENT | {"name": f"Directive {k}"}, begins_on=day, by=by)
        for k in range(rows)
    ]
    for standing in standings_of([engine])[engine.pk]:
        said = Accomplishment("done", timezone.localdate(), "As the directive says", "invented manual 72-00")
        task_record(standing=standing, said=said, by=by)
    return tasks[0]


def mails_chosen(person: Person) -> str:
    """Let a person choose mails, and return the key by which they are stopped."""
    DigestChoice.objects.create(person=person, when=DigestChoice.When.DAILY)
    return stop_key(person)


def due_places(engine: Engine, person: Person, rows: int) -> Places:
    """Store tasks and what is sent out about them, and return what stands in their addresses."""
    return {
        ("engines/", "key"): tasks_set(engine, person, rows).pk,
        ("calendar/", "secret"): "x",
        ("mails/stop/", "key"): mails_chosen(person),
    }
