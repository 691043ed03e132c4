"""Correcting entries of tasks, R-COR-1 to R-COR-6 and R-ES-13: what was recorded, and when it is due again."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engines.actions import Accomplishment, part_fit, part_remove, task_add, task_extend
from engines.errors import DomainError
from engines.models import Engine, TaskRecord
from engines.standing import Standing, standings_of
from logbook.corrections import Correcting
from logbook.handover.gathering import record_of, scope_of_engine
from logbook.ledger.checking import ledger_check
from logbook.models import Entry, Person
from logbook.task_acts import task_extend_sign, task_sign
from logbook.task_corrections import task_corrected
from tests.factories import ComponentFactory, EngineFactory
from tests.logbook.due_kit import DIRECTIVE, TODAY, came, engine_with_tasks, key_of
from tests.logbook.printing.reading import text_of
from tests.logbook.screen_kit import words
from tests.logbook.test_part_corrections import WHY, corrected
from tests.signed import signing_of


@pytest.fixture
def engine(engine: Engine) -> Engine:
    """Return an engine whose type has tasks, and which ran twelve times, every third week."""
    return engine_with_tasks(engine)


def ago(days: int) -> date:
    return TODAY - timedelta(days=days)


def standing(engine: Engine, name: str = "Disc") -> Standing:
    key = key_of(engine, name)
    return next(s for s in standings_of([engine])[engine.pk] if s.key == key)


def signed(of: Standing, by: Person, on: date, outcome: str = "done", **more: Any) -> Entry:
    said = Accomplishment(outcome, on, "Eddy current", **more)
    return task_sign(standing=of, said=said, by=by, signing=signing_of(by))


def put_right(entry: Entry, by: Person, on: date, outcome: str = "done", why: str = WHY, **more: Any) -> Entry:
    said = Accomplishment(outcome, on, more.pop("method", "Eddy current"), **more)
    return task_corrected(entry=entry, said=said, correcting=Correcting(by, why, signing_of(by)))


@pytest.fixture
def done(engine: Engine, director: Person) -> Entry:
    """Return the signed entry of a directive that was done forty days ago, and comes round every sixty days."""
    task_add(engine=engine, document=DIRECTIVE, begins_on=ago(90), by=director)
    return signed(standing(engine), director, ago(40))


def test_it_is_put_right_on_the_screen_and_is_due_by_what_stands(
    client: Client, engine: Engine, done: Entry, director: Person
) -> None:
    """R-COR-1, 2, 3, 5 and 6. By hand: done 40 days ago and due after 60, 20 are left; done 50 days ago, 10 are."""
    assert standing(engine).left[0].left == 20
    came(client, director)
    detail = reverse("entry_detail", args=[done.number])
    assert "Correct it" in words(client.get(detail))
    answer = corrected(client, done, on=ago(50).isoformat(), reference="Invented manual 72-31")
    assert answer["Location"] == reverse("entry_detail", args=[2])
    newer = Entry.objects.get(corrects=done)
    assert (newer.kind, newer.completed_on, newer.engine) == ("task", ago(50), engine)
    assert standing(engine).left[0].left == 10
    told = {line["what"]: line["is"] for line in newer.body["correction"]["changes"]}
    assert told["Worked to"] == "Invented manual 72-31"
    assert f"<del>{done.body['task'][-1][1]}</del>" in client.get(detail).content.decode(), "due next, by the old day"
    assert "Superseded by" in words(client.get(detail)) and WHY in words(client.get(detail))
    printed = text_of(client.get(reverse("entry_print", args=[newer.number])).content)
    assert "SUPERSEDED by entry 2" in printed and "This entry corrects entry 1" in printed
    page = words(client.get(reverse("task_detail", args=[engine.pk, standing(engine).key])))
    assert f"Done on {ago(40)} is not what stands: entry 2 corrects it" in page
    assert ledger_check(engine.operator).size == 2
    lines = client.get(reverse("api:engine-task-records", args=[engine.pk, standing(engine).key])).json()
    assert [(line["entry"], line["is_replaced"]) for line in lines] == [(2, False), (1, True), (None, False)]
    (_, first, second) = record_of(scope_of_engine(engine))["tables"]["task_records"]
    assert second["replaces"] == first["id"]


def test_counters_that_were_stated_stay_to_the_second(client: Client, engine: Engine, director: Person) -> None:
    """By hand: 12.3456 h are 44,444 s, which the box shows as 12.3456; an inspection is due 100 h after that."""
    entry = signed(standing(engine, "Look"), director, ago(1), used={"run_time": 44_444})
    came(client, director)
    assert corrected(client, entry, remarks="Left magneto").status_code == 302
    line = TaskRecord.objects.get(replaced_by=None)
    assert (line.stated, line.remarks) == ({"run_time": 44_444}, "Left magneto")
    assert standing(engine, "Look").point.at == (("run_time", 44_444 + 100 * 3600),)  # type: ignore[union-attr]
    assert corrected(client, Entry.objects.get(number=2), used_run_time="12.5").status_code == 302
    assert TaskRecord.objects.get(replaced_by=None).stated == {"run_time": 45_000}


def test_an_extension_stands_on_the_corrected_line(engine: Engine, done: Entry, director: Person) -> None:
    """By hand: 60 days after the day it was done and 10 of the extension: 70 less the 50 that have gone are 20."""
    task_extend(standing=standing(engine), reason="No bench free", by=director)
    assert standing(engine).left[0].left == 30
    put_right(done, director, ago(50))
    assert (standing(engine).left[0].left, standing(engine).last.is_extended) == (20, True)  # type: ignore[union-attr]


def test_why_it_was_extended_is_put_right_and_by_what_stays(
    client: Client, engine: Engine, done: Entry, director: Person
) -> None:
    """Also once what it extended was corrected, so that the extension was repeated."""
    extended = task_extend_sign(
        standing=standing(engine), reason="No bench free", by=director, signing=signing_of(director)
    )
    put_right(done, director, ago(50))
    assert standing(engine).left[0].left == 20
    came(client, director)
    assert "Correct it" in words(client.get(reverse("entry_detail", args=[extended.number])))
    assert corrected(client, extended, method="No inspector free").status_code == 302
    newer = Entry.objects.get(corrects=extended)
    (change,) = newer.body["correction"]["changes"]
    assert (change["was"], change["is"]) == ("No bench free", "No inspector free")
    assert (newer.completed_on, standing(engine).left[0].left) == (extended.completed_on, 20)
    last = standing(engine).last
    assert last is not None and (last.is_extended, last.method) == (True, "No inspector free")
    assert corrected(client, newer, method="No bench and no inspector free").status_code == 302


def test_a_task_of_a_part_is_put_right_wherever_the_part_is(engine: Engine, director: Person) -> None:
    """By hand: the part brought 7 starts, and one run of 4 h and one start fell into its days on the engine."""
    part = ComponentFactory.create(operator=engine.operator, part_number="TB-900", serial="SN-1", brought_starts=7)
    part_fit(component=part, engine=engine, position="disc", at=timezone.now() - timedelta(days=3), by=director)
    task_add(engine=engine, document=DIRECTIVE, begins_on=ago(5), by=director, component=part)
    entry = signed(next(s for s in standings_of([engine])[engine.pk] if s.component), director, ago(0))
    part_remove(component=part, at=timezone.now() - timedelta(minutes=1), by=director, place="shelf 4")
    newer = put_right(entry, director, ago(4))
    rows = dict(newer.body["part"])
    assert (newer.component, newer.engine, rows["Serial"]) == (part, engine, "SN-1")
    assert rows["Counters then, of the part"] == "7 starts"
    assert dict(entry.body["part"])["Counters then, of the part"] == "4.0 h of run time, 8 starts"


def test_a_task_whose_document_was_revised_since_is_put_right(engine: Engine, done: Entry, director: Person) -> None:
    own = TaskRecord.objects.exclude(task=None).first().task  # type: ignore[union-attr]
    revised = DIRECTIVE | {"number": "INV-8"}
    task_add(engine=engine, document=revised, begins_on=ago(1), by=director, replaces=own)
    newer = put_right(done, director, ago(50))
    assert dict(newer.body["task"])["Number"] == "INV-7"


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ({"on": ago(40)}, "nothing_changed"),
        ({"on": ago(50), "why": " "}, "text_missing"),
        ({"on": ago(50), "method": ""}, "text_missing"),
        ({"on": ago(-1)}, "date_impossible"),
        ({"on": ago(50), "outcome": "begun"}, "outcome_unknown"),
    ],
)
def test_what_a_correction_can_not_be(done: Entry, director: Person, said: dict[str, Any], code: str) -> None:
    with pytest.raises(DomainError) as refused:
        put_right(done, director, **said)
    assert refused.value.code == code
    assert Entry.objects.count() == 1


def test_what_came_after_has_to_follow(engine: Engine, done: Entry, director: Person) -> None:
    """What ended for good is not done again after, and what was done after stands against an end before it."""
    again = signed(standing(engine), director, ago(20))
    with pytest.raises(DomainError, match="recorded again on"):
        put_right(done, director, ago(40), "terminated")
    ended = put_right(again, director, ago(20), "terminated")
    assert standing(engine).state == "closed"
    with pytest.raises(DomainError, match="ended for good on"):
        put_right(done, director, ago(10))
    with pytest.raises(DomainError) as twice:
        put_right(again, director, ago(30))
    assert twice.value.code == "corrected_before"
    put_right(ended, director, ago(20))
    assert standing(engine).state != "closed"


def test_r_cor_2_and_4_who_is_entitled(client: Client, done: Entry, mechanic: Person, inspector: Person) -> None:
    """R-COR-2 and R-COR-4: who signed it, or the director."""
    came(client, inspector)
    at = reverse("entry_correct", args=[done.number])
    assert "corrects it; where they can't, the director does" in words(client.get(at))
    with pytest.raises(DomainError) as refused:
        put_right(done, mechanic, ago(50))
    assert refused.value.code == "not_yours"


def test_a_task_that_its_type_no_longer_names_is_read_from_the_limits_of_its_day(
    engine: Engine, director: Person
) -> None:
    """A type's task whose name was dropped by a later revision; one of an engine that has none is not found."""
    entry = signed(standing(engine, "Filter"), director, ago(1))
    revision = engine.engine_type.revisions.last()
    assert revision is not None
    revision.document = revision.document | {"tasks": []}
    revision.save(update_fields=["document"])
    with pytest.raises(DomainError) as refused:
        put_right(entry, director, ago(2))
    assert refused.value.code == "not_correctable"
    other = EngineFactory.create(operator=engine.operator, engine_type=engine.engine_type, serial="TB-0002")
    assert standings_of([other])[other.pk] == []
