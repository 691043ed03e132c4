"""The demo's maintenance: the rules it works to, work and an inspection that are signed, all invented."""

import json
from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

from django.core.files.base import ContentFile
from django.db import transaction

from engines.models import Engine, Operator
from logbook.access import DIRECTOR
from logbook.demo.plan import FIXTURES
from logbook.maintenance.actions import work_open, work_sign
from logbook.maintenance.publications import publication_add
from logbook.maintenance.rules import rules_choose
from logbook.models import Person
from logbook.signing import DEMO, Signing
from logbook.statements.elements import US


@transaction.atomic
def maintenance_load(operator: Operator, people: Mapping[str, Person], today: date) -> None:
    """Store what the fixtures say was done, unless the operator has any work already."""
    if operator.work.exists():
        return
    director = next(person for person in people.values() if person.role == DIRECTOR)
    rules_choose(by=director, ruleset=US)
    for told in json.loads((FIXTURES / "documents.json").read_text(encoding="utf-8")):
        copy = ContentFile("\n".join(told["lines"]).encode(), told["name"])
        publication_add(title=told["title"], revision=told["revision"], dated=None, by=director, file=copy)
    engines = list(operator.engines.order_by("serial"))
    for line in json.loads((FIXTURES / "work.json").read_text(encoding="utf-8")):
        _work(engines[line["engine"]], line, people[line["by"]], today)


def _work(engine: Engine, line: dict[str, Any], by: Person, today: date) -> None:
    day = (today - timedelta(days=line["days_ago"])).isoformat()
    facts = line["facts"] | {"completed_on": day, "on": day}
    facts["found"] = [found | {"placard_on": day} for found in facts.get("found", ())]
    work = work_open(engine=engine, kind=line["kind"], facts=facts, by=by)
    work_sign(work=work, by=by, signing=Signing(DEMO, "", by.certificates.get()), has_done_before=True)
