"""The parts of the demo that sit within modules, and the limits of its parts, all invented."""

from collections.abc import Mapping
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction

from engines.actions import LimitFacts, component_add, limit_add, part_fit
from engines.models import Component, Operator
from engines.times import seconds_of_hours
from logbook.demo.part_plan import PartsPlan
from logbook.models import Person

AFTER = timedelta(hours=1)  # a part is fitted so long after its module
NAMED = ("part_number", "kind", "parameter")


@transaction.atomic
def parts_load(plan: PartsPlan, operator: Operator, people: Mapping[str, Person], today: date) -> None:
    """Store the limits and the parts, unless the operator has limits."""
    if not plan.limits or operator.part_limits.exists():
        return
    by = people[plan.entered_by]
    for facts in plan.limits:
        said = {name: value for name, value in facts.items() if name not in NAMED}
        said["weight"] = Decimal(facts.get("weight", "0"))
        limit_add(operator=operator, facts=LimitFacts(**said), by=by, **{name: facts[name] for name in NAMED})
    for facts in plan.parts:
        _part(operator, facts, by, today)


def _part(operator: Operator, facts: Mapping[str, Any], by: Person, today: date) -> None:
    brought = facts["brought"]
    part = component_add(
        operator=operator,
        part_number=facts["part_number"],
        serial=facts["serial"],
        description=facts["description"],
        made_on=today - timedelta(days=facts["made_days_ago"]),
        brought_run_time_s=seconds_of_hours(Decimal(str(brought["run_time_h"]))),
        **{f"brought_{name}": brought[name] for name in ("starts", "cycles", "partial_cycles")},
        opening_basis=facts["basis"],
        opening_document=facts["document"],
        opening_is_reconstructed=facts.get("reconstructed", False),
    )
    module = Component.objects.get(operator=operator, serial=facts["within"])
    at = module.movements.earliest("at").at + AFTER
    part_fit(component=part, parent=module, position=facts["position"], at=at, by=by)
