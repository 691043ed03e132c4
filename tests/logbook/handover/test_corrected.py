"""A record with corrections goes to the next owner: what stands there stands here, and what was corrected is told."""

import datetime
import json
from io import BytesIO
from zipfile import ZipFile

import pytest

from engines.actions import (
    Accomplishment,
    LimitFacts,
    limit_add,
    limit_correct,
    part_done_add,
    part_done_correct,
    task_add,
    task_record,
)
from engines.actions.parts import Fitting
from engines.latest import meter_before
from engines.models import Component, Engine, MeterChange, PartDone, PartLimit, Run, TaskRecord
from engines.part_queries import component_times, statuses_of
from engines.standing import standings_of
from logbook.corrections import Correcting
from logbook.handover.importing import package_import
from logbook.maintenance.correcting import work_corrected
from logbook.models import Entry, Person, ReceivedEntry
from logbook.part_acts import part_fit_sign
from logbook.part_corrections import line_corrected
from logbook.received import ReceivedPackage
from tests.factories import STARTED_AT, ComponentFactory
from tests.logbook.handover.records import packed_of, recorded
from tests.logbook.maintenance.kit import opened, signed, signing
from tests.signed import signing_of

DAY = datetime.timedelta(days=1)
WHY = "Copied from the wrong line."
LOOK = {"name": "Look", "kind": "inspection", "mandatory": True, "repeat": {"run_time_h": 100}}


@pytest.fixture
def data(engine: Engine, mechanic: Person, inspector: Person) -> bytes:
    """Return the package of an engine whose meter, part, limit, interval and run were corrected."""
    recorded(engine, mechanic)
    changed = signed(opened(engine, mechanic, "meter", at="2026-05-04T23:00:00+00:00"), mechanic)
    correcting = Correcting(mechanic, WHY, signing(mechanic))
    work_corrected(entry=changed, facts={"new": "0.50"}, correcting=correcting)
    part: Component = ComponentFactory.create(operator=engine.operator, part_number="D-1", serial="7", brought_starts=5)
    about = {"component": part, "by": mechanic, "signing": signing_of(mechanic)}
    fitted = part_fit_sign(fitting=Fitting(STARTED_AT - DAY / 2, engine, position="disc"), **about)
    line_corrected(entry=fitted, stated=Fitting(STARTED_AT - 1.5 * DAY, engine, position="disc"), correcting=correcting)
    told = {"operator": engine.operator, "part_number": "D-1", "kind": "inspection", "parameter": "starts"}
    limit = limit_add(**told, facts=LimitFacts(50, "count", "Invented chapter 5", "3"), by=inspector)
    limit = limit_correct(limit=limit, facts=LimitFacts(40, "count", "Invented chapter 5", "3"), why=WHY, by=inspector)
    done = part_done_add(component=part, limit=limit, at=STARTED_AT + DAY, reference="Manual", by=mechanic)
    part_done_correct(done=done, at=STARTED_AT - DAY / 2, reference="Manual", why=WHY, by=mechanic)
    task_add(engine=engine, document=LOOK, begins_on=(STARTED_AT - 9 * DAY).date(), by=mechanic)
    (standing,) = standings_of([engine])[engine.pk]
    said = Accomplishment("done", (STARTED_AT - DAY).date(), "As the manual says")
    task_record(standing=standing, said=said, by=mechanic)
    first = Run.objects.order_by("started_at")[0]
    first.typed_run_time_s = first.run_time_s = first.run_time_s + 360
    first.save()
    return packed_of(engine, mechanic)


def test_what_stands_after_corrections_stands_at_the_next_owner(engine: Engine, data: bytes, stranger: Person) -> None:
    before = meter_before(engine, STARTED_AT + 300 * DAY)
    part = Component.objects.get(part_number="D-1")
    status = statuses_of([part], STARTED_AT.date())[part.pk]
    (standing,) = standings_of([engine])[engine.pk]
    package = package_import(BytesIO(data), operator=stranger.operator, by=stranger, signing=signing_of(stranger))  # type: ignore[arg-type]
    assert isinstance(package, ReceivedPackage)
    there = package.engine
    assert there is not None
    assert meter_before(there, STARTED_AT + 300 * DAY) == before
    changes = MeterChange.objects.filter(engine=there).order_by("pk")
    assert [change.replaces_id for change in changes] == [None, changes[0].pk]
    own = Component.objects.get(part_number="D-1", operator=stranger.operator)
    assert component_times(own) == component_times(part)
    theirs = statuses_of([own], STARTED_AT.date())[own.pk]
    assert [(s.used, s.remaining) for _, s in theirs.rows] == [(s.used, s.remaining) for _, s in status.rows] != []
    assert [limit.is_correction for limit in PartLimit.objects.filter(operator=stranger.operator)] == [False, True]
    assert PartDone.objects.filter(component=own, replaced_by=None).count() == 1
    (look,) = standings_of([there])[there.pk]
    assert standing.last is not None and look.last is not None
    assert (look.last.stood, look.left) == (standing.last.stood, standing.left)
    last = Run.objects.filter(engine=there).order_by("started_at")[0]
    last.run_time_s += 360
    last.save()
    assert TaskRecord.objects.filter(engine=there).count() == 2
    (look,) = standings_of([there])[there.pk]
    assert look.last is not None
    assert look.last.stood["run_time"] == standing.last.stood["run_time"] + 360


def test_both_versions_are_told_and_provable(engine: Engine, data: bytes, stranger: Person) -> None:
    record = json.loads(ZipFile(BytesIO(data)).read("record.json"))["tables"]
    assert [row["replaces"] for row in record["movements"]][-1] == record["movements"][-2]["id"]
    assert record["movement_voids"][0]["reason"] == WHY
    package_import(BytesIO(data), operator=stranger.operator, by=stranger, signing=signing_of(stranger))  # type: ignore[arg-type]
    documents = [json.loads(row.document) for row in ReceivedEntry.objects.order_by("number")]
    corrected = [d["body"]["correction"]["of"] for d in documents if (d["body"].get("correction") or {}).get("of")]
    kinds = Entry.objects.filter(operator=engine.operator, number__in=corrected).values_list("kind", flat=True)
    assert set(kinds) == {"meter_change", "part_fitted"}
    assert all(d["corrects_id"] for d in documents if d["body"].get("correction"))
