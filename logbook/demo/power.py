"""Storing the demo's power checks, fuel figures and cruise settings through the same actions that people use."""

import json
from collections.abc import Mapping
from datetime import date
from typing import Any, Final

from django.db import transaction

from engines import actions
from engines.models import Engine, Run
from engines.power_assurance import PowerReadings
from logbook.demo.plan import FIXTURES, DemoPlan, moment
from logbook.models import Person

READ: Final = ("air_c", "altitude_ft", "torque", "propeller", "temperature", "speed", "fuel_flow")


@transaction.atomic
def power_load(plan: DemoPlan, engines: Mapping[str, Engine], people: Mapping[str, Person], today: date) -> None:
    """Store what the fixture says of each engine that has no power check yet."""
    fixture = json.loads((FIXTURES / "power.json").read_text(encoding="utf-8"))
    begun = {serial for serial, engine in engines.items() if engine.power_checks.exists()}
    for line in fixture["checks"]:
        if line["serial"] not in begun:
            _check(engines[line["serial"]], line, people[line["by"]], today)
    runs = {run.key: run.id for run in plan.runs}
    for line in (line for line in fixture["fuel"] if line["run"] in runs):
        _fuel(Run.objects.get(pk=runs[line["run"]]), line, people[line["by"]])
    for line in (line for line in fixture["settings"] if line["run"] in runs):
        actions.setting_keep(run=Run.objects.get(pk=runs[line["run"]]), by=people[line["by"]])


def _check(engine: Engine, line: Mapping[str, Any], by: Person, today: date) -> None:
    facts = actions.CheckFacts(
        at=moment(today, line["days_ago"], "09:30"),
        readings=PowerReadings(**dict(zip(READ, line["read"], strict=True))),
        begins_baseline="begins" in line,
        why=line.get("begins", ""),
        remarks=line.get("remarks", "Ground check into the wind (invented)"),
    )
    actions.power_check_add(engine=engine, facts=facts, by=by)


def _fuel(run: Run, line: Mapping[str, Any], by: Person) -> None:
    if not run.fuel_figures.exists():
        figures = {name: line.get(name) for name in ("totaliser", "uplift")}
        actions.fuel_add(run=run, by=by, remarks=line.get("remarks", ""), **figures)
