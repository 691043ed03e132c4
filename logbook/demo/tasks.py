"""Storing the tasks of the demo through the same actions that people use."""

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

from django.db import transaction

from engines import actions
from engines.models import Engine
from engines.standing import Standing, standings_of
from engines.tasks import AMOUNTS
from logbook.demo.task_plan import TasksPlan
from logbook.models import Person
from logbook.part_acts import CONFIRMS
from logbook.queries import certificates_valid
from logbook.signing import DEMO, Signing
from logbook.task_acts import task_sign


def tasks_load(plan: TasksPlan, engines: Mapping[str, Engine], people: Mapping[str, Person], today: date) -> None:
    """Store the tasks of each engine that has none recorded yet."""
    for serial, engine in engines.items():
        if engine.task_records.exists():
            continue
        with transaction.atomic():
            for facts in (facts for facts in plan.own if facts["serial"] == serial):
                _own(engine, facts, people, today)
            for facts in (facts for facts in plan.done if facts["serial"] == serial):
                _done(_standing(engine, facts["task"]), facts, people, today)


def _own(engine: Engine, facts: Mapping[str, Any], people: Mapping[str, Person], today: date) -> None:
    begins_on = today - timedelta(days=facts["begins_days_ago"])
    task = actions.task_add(engine=engine, document=facts["document"], begins_on=begins_on, by=people[facts["by"]])
    if "done" in facts:
        _done(_standing(engine, str(task)), facts["done"], people, today)


def _standing(engine: Engine, name: str) -> Standing:
    return next(standing for standing in standings_of([engine])[engine.pk] if standing.task.name == name)


def _done(standing: Standing, facts: Mapping[str, Any], people: Mapping[str, Person], today: date) -> None:
    said = actions.Accomplishment(
        outcome=facts.get("outcome", "done"),
        on=today - timedelta(days=facts["days_ago"]),
        method=facts["method"],
        reference=standing.task.reference,
        used={AMOUNTS[name][0]: round(amount * AMOUNTS[name][1]) for name, amount in facts["used"].items()},
    )
    by = people[facts["by"]]
    task_sign(
        standing=standing, said=said, by=by, signing=Signing(DEMO, CONFIRMS, certificates_valid(by, said.on).first())
    )
