"""The demo's corrections: a part removed and fitted again, and a run, each stated anew; all invented."""

import json
from collections.abc import Mapping
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from typing import Any
from uuid import uuid5

from django.db import transaction
from django.utils import timezone

from engines.actions.corrections import FIGURES
from engines.actions.parts import Fitting, Removal
from engines.evidence import RunFacts
from engines.models import Component, Operator, Run
from engines.part_queries import fitted_at
from logbook.corrections import Correcting, run_corrected
from logbook.demo.plan import FIXTURES, RUN_IDS
from logbook.forms.corrections import reading_facts
from logbook.models import Entry, Person
from logbook.part_acts import CONFIRMS, part_fit_sign, part_remove_sign
from logbook.part_corrections import line_corrected
from logbook.signing import DEMO, Signing


@transaction.atomic
def corrections_load(operator: Operator, people: Mapping[str, Person], today: date) -> None:
    """Store what the fixtures say was corrected, unless the operator has such entries already."""
    lines = json.loads((FIXTURES / "corrections.json").read_text(encoding="utf-8"))
    for line in (line for line in lines if "run" in line):
        run = Run.objects.filter(pk=uuid5(RUN_IDS, line["run"]), correction=0).first()
        if run is not None:
            _run_corrected(run, line, people[line["by"]])
    for line in (line for line in lines if "part" in line):
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


def _run_corrected(run: Run, line: dict[str, Any], by: Person) -> None:
    """State a run anew that was signed with a figure from another line of the sheet."""
    same = ("kind", "started_at", "remarks", "other", *FIGURES)
    stands = RunFacts(id=run.pk, **{name: getattr(run, name) for name in same})
    stands = replace(stands, readings=tuple(map(reading_facts, run.standing_readings)), **line["stated"])
    signing = Signing(DEMO, CONFIRMS, by.certificates.get())
    run_corrected(run=run, facts=stands, correcting=Correcting(by, line["why"], signing))


def _at(said: dict[str, int], today: date) -> datetime:
    return timezone.make_aware(datetime.combine(today - timedelta(days=said["days_ago"]), time(said["hour"])))
