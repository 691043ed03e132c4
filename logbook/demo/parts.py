"""The parts of the demo that sit within modules, and the limits of its parts, all invented."""

from collections.abc import Mapping
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction

from engines.actions import LimitFacts, limit_add
from engines.actions.parts import Fitting
from engines.models import Component, Operator
from engines.times import seconds_of_hours
from logbook.demo.part_plan import PartsPlan
from logbook.models import PartDraft, Person
from logbook.part_acts import CONFIRMS, limit_sign, part_add_sign, part_fit_sign
from logbook.part_drafts.keeping import Sent, draft_keep
from logbook.signing import DEMO, Signing

AFTER = timedelta(hours=1)  # a part is fitted so long after its module
NAMED = ("part_number", "kind", "parameter")


@transaction.atomic
def parts_load(plan: PartsPlan, operator: Operator, people: Mapping[str, Person], today: date) -> None:
    """Store the limits and the parts, unless the operator has limits."""
    if not plan.limits or operator.part_limits.exists():
        return
    by = people[plan.entered_by]
    for facts in plan.parts:
        _part(operator, facts, by, today)
    for facts in plan.limits:
        _limit(operator, facts, by)
    for facts in plan.sent:
        _sent(operator, facts, by)


def _signs(by: Person) -> dict[str, Any]:
    return {"by": by, "signing": Signing(DEMO, CONFIRMS)}


def _limit(operator: Operator, facts: Mapping[str, Any], by: Person) -> None:
    said = {name: value for name, value in facts.items() if name not in NAMED}
    said["weight"] = Decimal(facts.get("weight", "0"))
    limit = limit_add(operator=operator, facts=LimitFacts(**said), by=by, **{name: facts[name] for name in NAMED})
    part = Component.objects.filter(operator=operator, part_number=limit.part_number).earliest("pk")
    limit_sign(component=part, limit=limit, **_signs(by))


def _sent(operator: Operator, facts: Mapping[str, Any], by: Person) -> None:
    """Keep a newer revision of a limit, as another program sends it, for somebody to read and sign."""
    limit = operator.part_limits.get(part_number=facts["part_number"], replaced_by=None)
    part = Component.objects.filter(operator=operator, part_number=limit.part_number).earliest("pk")
    draft_keep(sent=Sent(PartDraft.Kind.LIMIT_REPLACE, facts["limit"] | {"limit": limit.pk}, part), by=by)


def _part(operator: Operator, facts: Mapping[str, Any], by: Person, today: date) -> None:
    brought = facts["brought"]
    entry = part_add_sign(
        part_number=facts["part_number"],
        serial=facts["serial"],
        description=facts["description"],
        made_on=today - timedelta(days=facts["made_days_ago"]),
        brought_run_time_s=seconds_of_hours(Decimal(str(brought["run_time_h"]))),
        **{f"brought_{name}": brought[name] for name in ("starts", "cycles", "partial_cycles")},
        opening_basis=facts["basis"],
        opening_document=facts["document"],
        opening_is_reconstructed=facts.get("reconstructed", False),
        **_signs(by),
    )
    assert entry.component is not None
    module = Component.objects.get(operator=operator, serial=facts["within"])
    place = {"position": facts["position"], "release_certificate": facts.get("release_certificate", "")}
    fitting = Fitting(module.movements.earliest("at").at + AFTER, parent=module, **place)
    part_fit_sign(component=entry.component, fitting=fitting, **_signs(by))
