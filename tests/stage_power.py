"""What stands on the stage of power: rules, many power checks, fuel, and settings of cruise power."""

from dataclasses import replace
from datetime import timedelta

from engines.actions import CheckFacts, fuel_add, power_check_add
from engines.models import CruiseSetting, Engine, Run
from logbook.models import Person
from tests.factories import STARTED_AT
from tests.power import READ, power_document

MEANS = {"torque": 70.0, "np": 1700.0, "itt": 600.0, "n1": 92.0, "fuel_flow": 290.0}


def power_rules_set(engine: Engine) -> None:
    """Let the engine's type say what there is to say of power."""
    revision = engine.engine_type.revisions.earliest("number")
    revision.document = power_document(name=engine.engine_type.name)
    revision.save(update_fields=["document"])


def power_set(engine: Engine, by: Person, rows: int) -> None:
    """Store many power checks of an engine, and a kept setting and figures of fuel for many of its runs."""
    for k in range(rows):
        readings = replace(READ, temperature=580.0 + k)
        check = CheckFacts(STARTED_AT - timedelta(days=5 * (rows - k)), readings)
        power_check_add(engine=engine, facts=check, by=by)
    settings = dict.fromkeys(("full", "reduced", "cruise"), MEANS)
    facts = {**settings, "altitude_ft": 8000.0, "air_c": 2.0, "torque_rise": 6.5, "propeller_fall": 160.0}
    for run in Run.objects.filter(engine=engine)[:rows]:
        CruiseSetting.objects.create(run=run, engine=engine, facts=facts, by=by)
        fuel_add(run=run, totaliser=200.0, uplift=None, by=by)
