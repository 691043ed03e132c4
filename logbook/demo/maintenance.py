"""The demo's maintenance: the rules it works to, work and an inspection that are signed, all invented."""

import json
from collections.abc import Callable, Mapping
from datetime import date, timedelta
from typing import Any, Final

from django.core.files.base import ContentFile
from django.db import transaction

from engines.models import Engine, Operator
from logbook.access import DIRECTOR
from logbook.demo.plan import FIXTURES
from logbook.maintenance.actions import work_open, work_sign
from logbook.maintenance.looks import work_refuse, work_rework, work_second
from logbook.maintenance.publications import publication_add
from logbook.maintenance.rows import Work
from logbook.maintenance.rules import rules_choose
from logbook.models import Person
from logbook.signing import DEMO, Signing
from logbook.statements.elements import EASA, US

NAMED: Final = {"organisation": "Rime Street Line Maintenance (invented)", "approval": "INV.145.0042 (invented)"}
LOOKS: Final[dict[str, Callable[[Work, Person, str], object]]] = {
    "refused": lambda work, by, words: work_refuse(work=work, why=words, by=by),
    "reworked": lambda work, by, words: work_rework(work=work, words=words, by=by),
    "accepted": lambda work, by, words: work_second(work=work, by=by),
}


@transaction.atomic
def maintenance_load(operator: Operator, people: Mapping[str, Person], today: date) -> None:
    """Store what the fixtures say was done, unless the operator has any work already."""
    if operator.work.exists():
        return
    director = next(person for person in people.values() if person.role == DIRECTOR)
    for told in json.loads((FIXTURES / "documents.json").read_text(encoding="utf-8")):
        copy = ContentFile("\n".join(told["lines"]).encode(), told["name"])
        publication_add(title=told["title"], revision=told["revision"], dated=None, by=director, file=copy)
    engines = list(operator.engines.order_by("serial"))
    lines = json.loads((FIXTURES / "work.json").read_text(encoding="utf-8"))
    # It released under European rules until lately, and what was released away from base then has its countdowns.
    for ruleset, named in ((EASA, NAMED), (US, {})):
        rules_choose(by=director, ruleset=ruleset, **named)
        for line in lines:
            if line.get("rules", US) == ruleset:
                _work(engines[line["engine"]], line, people, today)


def _work(engine: Engine, line: dict[str, Any], people: Mapping[str, Person], today: date) -> None:
    by, day = people[line["by"]], (today - timedelta(days=line["days_ago"])).isoformat()
    facts = line["facts"] | {"completed_on": day, "on": day}
    facts["found"] = [found | {"placard_on": day} for found in facts.get("found", ())]
    work = work_open(engine=engine, kind=line["kind"], facts=facts, by=by)
    for look in line.get("looks", ()):
        LOOKS[look["what"]](work, people[look["by"]], look.get("words", ""))
    work_sign(work=work, by=by, signing=Signing(DEMO, "", by.certificates.get()), has_done_before=True)
