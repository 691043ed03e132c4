"""The demo's correction: a part removed and fitted again, signed, and its removal stated anew, all invented."""

import json
from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone

from engines.actions.parts import Fitting, Removal
from engines.models import Component, Operator
from engines.part_queries import fitted_at
from logbook.corrections import Correcting
from logbook.demo.plan import FIXTURES
from logbook.models import Entry, Person
from logbook.part_acts import CONFIRMS, part_fit_sign, part_remove_sign
from logbook.part_corrections import line_corrected
from logbook.signing import DEMO, Signing


@transaction.atomic
def corrections_load(operator: Operator, people: Mapping[str, Person], today: date) -> None:
    """Store what the fixtures say was corrected, unless the operator has such entries already."""
    for line in json.loads((FIXTURES / "corrections.json").read_text(encoding="utf-8")):
        part = Component.objects.get(operator=operator, serial=line["part"])
        if not Entry.objects.filter(component=part, kind=Entry.Kind.PART_REMOVED).exists():
            _corrected(part, line, people[line["by"]], today)


def _corrected(part: Component, line: dict[str, Any], by: Person, today: date) -> None:
    before = fitted_at(part)
    if before is None:
        return
    how, signing = line["removed"], Signing(DEMO, CONFIRMS, by.certificates.get())
    removal = Removal(_at(how, today), how["control"], place=how["place"])
    entry = part_remove_sign(component=part, removal=removal, by=by, signing=signing)
    fitting = Fitting(_at(line["fitted"], today), before.engine, before.parent, before.position)
    part_fit_sign(component=part, fitting=fitting, by=by, signing=signing)
    stated = Removal(_at(line["corrected"], today), how["control"], place=how["place"])
    line_corrected(entry=entry, stated=stated, correcting=Correcting(by, line["why"], signing))


def _at(said: dict[str, int], today: date) -> datetime:
    return timezone.make_aware(datetime.combine(today - timedelta(days=said["days_ago"]), time(said["hour"])))
