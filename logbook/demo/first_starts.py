"""Storing the demo's first-start plans, one completed and one in the middle, through the acts that people use."""

import json
from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any
from uuid import NAMESPACE_URL, uuid5

from django.db import transaction

from engines.actions import plan_open
from engines.evidence import RunFacts
from engines.models import Engine, FirstStart
from logbook.actions import run_sign
from logbook.demo.plan import FIXTURES, moment
from logbook.first_starts import StepSaid, first_start_sign, step_enter
from logbook.models import Person
from logbook.part_acts import CONFIRMS
from logbook.signing import CONFIRMS as RUN_CONFIRMS
from logbook.signing import DEMO, Signing


@transaction.atomic
def first_starts_load(engines: Mapping[str, Engine], people: Mapping[str, Person], today: date) -> None:
    """Store what the fixture says of each engine that has no plan yet."""
    fixture = json.loads((FIXTURES / "first_starts.json").read_text(encoding="utf-8"))
    for told in fixture["plans"]:
        engine = engines[told["serial"]]
        if not engine.first_starts.exists():
            _plan(engine, told, people, today)


def _plan(engine: Engine, told: Mapping[str, Any], people: Mapping[str, Person], today: date) -> None:
    rules = engine.engine_type.revisions.filter(is_adopted=True).latest("number").data.first_start
    trigger = next(one for one in rules.triggers if one.when == told["trigger"]) if rules else None
    at = moment(today, told["days_ago"], told["clock"])
    plan = plan_open(engine=engine, trigger=trigger, reason=told["reason"], by=people[told["by"]], at=at)
    for line in told["lines"]:
        _line(plan, told, line, people, today)
    if signed := told.get("signed"):
        by = people[signed["by"]]
        on = today - timedelta(days=signed["days_ago"])
        signing = Signing(DEMO, CONFIRMS, by.certificates.get())
        whole = FirstStart.objects.get(pk=plan.pk)
        first_start_sign(
            plan=whole, outcome="completed", on=on, by=by, signing=signing, remarks=signed.get("remarks", "")
        )


def _line(
    plan: FirstStart, told: Mapping[str, Any], line: Mapping[str, Any], people: Mapping[str, Person], today: date
) -> None:
    rule, by = plan.rules.steps[line["step"]], people[line["by"]]
    at, remarks = moment(today, told["days_ago"], line["clock"]), line.get("remarks", "")
    facts = None
    if rule.run_kind:
        facts = RunFacts(**_stated(plan, rule.run_kind, line, people), started_at=at, remarks=remarks)
    made = step_enter(plan=plan, said=StepSaid(rule.name, line["ending"], facts=facts, at=at, remarks=remarks), by=by)
    if made.run is not None:
        run_sign(run=made.run, by=by, signing=Signing(DEMO, RUN_CONFIRMS, by.certificates.get()))


def _stated(plan: FirstStart, kind: str, line: Mapping[str, Any], people: Mapping[str, Person]) -> dict[str, Any]:
    lit = "run_time_s" in line
    about = {"trainee": line["trainee"], "supervisor": people[line["supervisor"]]} if "trainee" in line else {}
    return {
        "id": uuid5(NAMESPACE_URL, f"embermark-demo:first-start:{plan.engine.serial}:{line['clock']}"),
        "kind": kind,
        "typed_run_time_s": line.get("run_time_s"),
        "typed_starts": int(lit) if kind == "first_start" else None,
        "typed_starter_s": float(line["starter_s"]),
        **about,
    }
