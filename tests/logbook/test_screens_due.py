"""What comes due: all engines within ninety days, one engine with its use, tasks recorded, extended and added."""

import io
import uuid
from datetime import timedelta
from typing import Any

import openpyxl
import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engines.actions import part_fit, task_add
from engines.evidence import RunFacts
from engines.models import Engine, Run, Task, TaskRecord
from logbook.actions import run_enter
from logbook.ledger.checking import ledger_check
from logbook.models import Concern, Entry, Person
from tests.documents import type_document
from tests.factories import CertificateFactory, ComponentFactory, EngineFactory, RunFactory, TypeRevisionFactory
from tests.logbook.due_kit import DIRECTIVE, TODAY, H, came, engine_with_tasks, key_of, page, under
from tests.logbook.screen_kit import act


@pytest.fixture
def engine(engine: Engine) -> Engine:
    """Return an engine whose type has tasks, and which ran twelve times, every third week."""
    return engine_with_tasks(engine)


def test_the_list_shows_what_may_be_reached_within_ninety_days(
    client: Client, engine: Engine, director: Person
) -> None:
    came(client, director)
    shown = page(client, "due_list", days=30)
    # 60 h of 100 are used, at 1.7 h a week; the filter counts days from nowhere.
    assert "Look" not in shown
    assert "Filter" in shown and "not known: the day from which it counts is not recorded" in shown
    assert "1 of 1 shown, of 2 kept" in shown
    year = page(client, "due_list", days=365)
    assert "40.0 h of run time left" in year
    assert "h of run time a week over the last 24 weeks" in year


def test_a_stated_use_takes_the_place_of_the_observed_one(client: Client, engine: Engine, director: Person) -> None:
    came(client, director)
    shown = page(client, "due_list", use_run_time="20 to 40")
    first, last = TODAY + timedelta(days=30), TODAY + timedelta(days=60)
    assert f"{first} to {last}" in shown
    assert "At 20 to 40 h of run time in 30 days, as stated" in shown
    assert "write the smaller" not in shown.lower()
    wrong = page(client, "due_list", use_run_time="40-20")
    assert "Write the smaller figure first" in wrong


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ({"serial": "0001"}, ("Filter", "Nothing of the")),
        ({"serial": "0009"}, ("Nothing of the 2 that are kept", "Filter")),
        ({"show": "mandatory", "days": 365}, ("Look", "Filter")),
        ({"show": "overdue", "days": 365}, ("Filter", ">Look<")),
    ],
)
def test_the_list_is_narrowed(
    client: Client, engine: Engine, director: Person, query: dict[str, Any], words: tuple[str, str]
) -> None:
    text = page(came(client, director), "due_list", **query)
    assert words[0] in text
    assert words[1] not in text


def test_the_rows_shown_are_taken_away_as_files(client: Client, engine: Engine, director: Person) -> None:
    came(client, director)
    response: Any = client.get(reverse("due_table", args=["csv"]), {"days": 365, "show": "mandatory"})
    lines = b"".join(response.streaming_content).decode().splitlines()
    assert len(lines) == 2
    assert lines[1].startswith("TB-0001,") and ",40.00," in lines[1]
    book = client.get(reverse("due_table", args=["xlsx"]), {"days": 365})
    sheet = openpyxl.load_workbook(io.BytesIO(book.content)).active
    assert [row[2].value for row in sheet.iter_rows(min_row=2)] == ["Filter", "Look"]


def test_an_overdue_mandatory_task_makes_the_engine_unserviceable(
    client: Client, engine: Engine, mechanic: Person
) -> None:
    came(client, mechanic)
    assert "Serviceable" in page(client, "engine_detail", engine.pk)
    RunFactory.create(engine=engine, started_at=timezone.now(), run_time_s=50 * H)
    for shown in (page(client, "engine_detail", engine.pk), page(client, "engine_list")):
        assert "Unserviceable" in shown
        assert "Overdue: Look (scheduled inspection), 10.0 h of run time over" in shown


def test_the_engine_says_what_is_due_next(client: Client, engine: Engine, mechanic: Person) -> None:
    assert "Next due: <strong>Filter</strong>" in page(came(client, mechanic), "engine_list")


def test_one_engine_shows_everything_with_its_use(client: Client, engine: Engine, director: Person) -> None:
    shown = page(came(client, director), "engine_due", engine.pk)
    assert "Run time stands at 60 h." in shown
    assert "Look is due at 100 h" in shown
    assert shown.count('class="picture"') == 4


def test_a_task_is_recorded_and_counts_anew(client: Client, engine: Engine, mechanic: Person) -> None:
    came(client, mechanic)
    where = [engine.pk, key_of(engine, "Look")]
    sent = {"outcome": "done", "on": TODAY, "method": "As in 05-20", "reference": "Manual 05-20", "used_run_time": ""}
    sent |= under(mechanic)
    assert act(client, "task_detail", where, **sent).status_code == 302
    assert "100.0 h of run time left" in page(client, "task_detail", engine.pk, key_of(engine, "Look"))
    line = TaskRecord.objects.get()
    assert (line.by, line.used["run_time"], line.method) == (mechanic, 60 * H, "As in 05-20")
    act(client, "task_detail", where, **(sent | {"used_run_time": "62,5"}))
    assert TaskRecord.objects.latest("pk").used["run_time"] == 62.5 * H


def test_a_task_is_recorded_by_a_signed_entry_and_not_without_one(
    client: Client, engine: Engine, mechanic: Person
) -> None:
    """R-91.417-a-1, R-91.417(a)(2)(v): who, when, which certificate, which source revision, counters at that moment."""
    came(client, mechanic)
    task = task_add(engine=engine, document=DIRECTIVE | {"revision": "2"}, begins_on=TODAY, by=mechanic)
    certificate = CertificateFactory.create(person=mechanic, kind="A&P mechanic", number="12345")
    where, address = [engine.pk, task.pk], reverse("task_detail", args=[engine.pk, task.pk])
    sent = {"outcome": "done", "on": TODAY, "method": "Eddy current", "remarks": "No finding"}
    assert "Choose the certificate by which you sign." in client.post(address, sent).content.decode()
    sent["certificate"] = certificate.pk
    read = client.post(address, sent)
    assert "Read this. It is the text as it will print" in read.content.decode()
    wrong = client.post(address, sent | {"stage": "sign", "read": read.context["read"], "password": "wrong"})
    assert wrong.status_code == 422
    assert TaskRecord.objects.filter(outcome="done").count() == Entry.objects.count() == 0
    signed = act(client, "task_detail", where, **sent)
    entry = Entry.objects.get()
    assert signed["Location"] == reverse("entry_detail", args=[entry.number])
    assert (entry.kind, entry.signed_by, entry.completed_on, entry.engine) == ("task", mechanic, TODAY, engine)
    assert entry.task_line.record == TaskRecord.objects.get(outcome="done")
    rows = dict(entry.body["task"])
    assert (rows["Task"], rows["Revision"], rows["Source"]) == (
        "Disc (INV-7 revision 2)",
        "2",
        "invented for the tests",
    )
    assert (rows["How it was done"], rows["How it ended"], rows["Remarks"]) == ("Eddy current", "Done", "No finding")
    assert rows["Counters then"] == "60.0 h of run time, 12 starts"
    assert rows["Due next"] == str(TODAY + timedelta(days=60))
    assert (entry.body["times"]["run_time_s"], entry.body["signed"]["certificate_number"]) == (60 * H, "12345")
    shown = page(client, "task_detail", *where)
    assert f'<a href="{reverse("entry_detail", args=[entry.number])}">entry {entry.number}</a>' in shown
    assert "Eddy current" in page(client, "entry_detail", entry.number)
    assert b"%PDF" in client.get(reverse("entry_print", args=[entry.number]), {"paper": "a4"}).content[:10]
    assert ledger_check(engine.operator).size == 1


def test_what_ends_a_task_for_good_is_due_not_again(client: Client, engine: Engine, director: Person) -> None:
    came(client, director)
    task = task_add(engine=engine, document=DIRECTIVE, begins_on=TODAY, by=director)
    sent = {"outcome": "terminated", "on": TODAY, "method": "Disc of another number fitted"} | under(director)
    act(client, "task_detail", [engine.pk, task.pk], **sent)
    assert dict(Entry.objects.get().body["task"])["Due next"] == "not again"


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"outcome": ""}, "Choose how it ended."),
        ({"method": ""}, "Say how it was done"),
        ({"on": TODAY + timedelta(days=1)}, "That day is still to come."),
        ({"used_run_time": "1.234,5"}, "1.234,5"),
    ],
)
def test_what_says_too_little_is_refused_beside_its_box(
    client: Client, engine: Engine, mechanic: Person, change: dict[str, Any], words: str
) -> None:
    came(client, mechanic)
    sent = {"outcome": "done", "on": TODAY, "method": "As in 05-20", "used_run_time": ""} | under(mechanic) | change
    response = client.post(reverse("task_detail", args=[engine.pk, key_of(engine, "Look")]), sent)
    assert response.status_code == 422
    assert words in response.content.decode()
    assert not TaskRecord.objects.exists()


SHEET = {
    "kind": "directive",
    "name": "Disc",
    "number": "INV-7",
    "revision": "2",
    "revision_date": "2026-03-02",
    "mandatory": "no",
    "begins_on": str(TODAY),
    "counts_from": "begun",
    "source": "invented bulletin",
    "initial_days": "30",
    "repeat_time_in_service_h": "99,5",
    "repeat_cycles": "40",
}


def test_a_directive_is_added_and_revised(client: Client, engine: Engine, director: Person) -> None:
    came(client, director)
    address = reverse("task_add", args=[engine.pk])
    assert client.post(address, SHEET).status_code == 302
    task = Task.objects.get()
    assert task.data.mandatory
    assert task.document["repeat"] == {"time_in_service_h": 99.5, "cycles": 40}
    shown = page(client, "engine_due", engine.pk)
    assert "Disc (INV-7 revision 2)" in shown and "30 days left" in shown
    assert "It takes the place of Disc" in page(client, "task_add", engine.pk, replaces=task.pk)
    client.post(f"{address}?replaces={task.pk}", SHEET | {"revision": "3"})
    shown = page(client, "engine_due", engine.pk)
    assert "revision 3" in shown and "revision 2" not in shown
    assert client.get(address, {"replaces": task.pk}).status_code == 404
    assert client.get(address, {"replaces": "x"}).status_code == 404


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"name": "Look"}, "is in use on this engine"),
        ({"number": ""}, "an airworthiness directive has one"),
        ({"begins_on": str(TODAY + timedelta(days=1))}, "That day is still to come."),
        ({"initial_days": "", "repeat_time_in_service_h": "", "repeat_cycles": ""}, "never due"),
    ],
)
def test_a_task_that_cannot_be_is_refused(
    client: Client, engine: Engine, director: Person, change: dict[str, Any], words: str
) -> None:
    response = came(client, director).post(reverse("task_add", args=[engine.pk]), SHEET | change)
    assert response.status_code == 422
    assert words in response.content.decode()
    assert not Task.objects.exists()


def test_a_task_is_extended_once_by_its_source(client: Client, engine: Engine, director: Person) -> None:
    came(client, director)
    task = task_add(engine=engine, document=DIRECTIVE, begins_on=TODAY, by=director)
    assert "The source grants 10 days, once" in page(client, "task_detail", engine.pk, task.pk)
    where = [engine.pk, task.pk]
    assert "The source grants 10 days, once: " in page(client, "task_extend", *where)
    address = reverse("task_extend", args=where)
    assert "Say why it is extended." in client.post(address, {"reason": ""} | under(director)).content.decode()
    act(client, "task_extend", where, reason="Part delayed", **under(director))
    shown = page(client, "task_detail", *where)
    assert "40 days left" in shown and "Extend it once" not in shown
    entry = Entry.objects.get()
    assert (entry.kind, entry.engine, entry.signed_by, entry.completed_on) == ("task", engine, director, TODAY)
    rows = dict(entry.body["task"])
    assert rows["Granted by its source"] == "10 days, once" and rows["Why it is extended"] == "Part delayed"
    # Due thirty days after it began to apply, and forty since it was extended.
    due = [str(TODAY + timedelta(days=days)) for days in (30, 40)]
    assert all(day in rows[name] for day, name in zip(due, ("Was due", "Due next"), strict=True))
    assert f"entry {entry.number}" in shown
    refused = client.post(address, {"reason": "Again"} | under(director))
    assert refused.status_code == 422 and "once is all" in refused.content.decode()
    assert Entry.objects.count() == 1


def test_there_is_no_sheet_to_extend_what_its_source_does_not(client: Client, engine: Engine, director: Person) -> None:
    came(client, director)
    document = {name: value for name, value in DIRECTIVE.items() if name != "extension"}
    task = task_add(engine=engine, document=document, begins_on=TODAY, by=director)
    shown = page(client, "task_extend", engine.pk, task.pk)
    assert "The source grants no extension: " in shown and "Why it is extended" not in shown


def test_what_is_ended_stands_among_the_closed(client: Client, engine: Engine, director: Person) -> None:
    came(client, director)
    task = task_add(engine=engine, document=DIRECTIVE, begins_on=TODAY, by=director)
    sent = {"outcome": "not_applicable", "on": TODAY, "method": "Another serial range"} | under(director)
    act(client, "task_detail", [engine.pk, task.pk], **sent)
    shown = page(client, "engine_due", engine.pk)
    assert "not applicable, <time>" in shown and "Another serial range" in shown
    assert "Read what you will sign" not in page(client, "task_detail", engine.pk, task.pk)


def test_an_engine_has_no_task_of_another(client: Client, engine: Engine, director: Person) -> None:
    came(client, director)
    other = EngineFactory.create(operator=engine.operator)
    task = task_add(engine=other, document=DIRECTIVE, begins_on=TODAY, by=director)
    assert client.get(reverse("task_detail", args=[engine.pk, task.pk])).status_code == 404


def test_nothing_kept_says_so(client: Client, director: Person) -> None:
    EngineFactory.create(operator=director.operator)
    assert "No task with an interval is kept yet" in page(came(client, director), "due_list")


def recorded(engine: Engine, by: Person, days_ago: float, hours: int) -> Run:
    began = timezone.now() - timedelta(days=days_ago)
    facts = RunFacts(uuid.uuid4(), Run.Kind.FLIGHT, began, typed_run_time_s=hours * H)
    return run_enter(engine=engine, facts=facts, by=by)


def test_a_run_is_recorded_while_something_is_overdue_and_has_to_be_settled(
    client: Client, engine: Engine, mechanic: Person
) -> None:
    came(client, mechanic)
    assert "is unserviceable" not in page(client, "run_record", engine.pk)
    passing = recorded(engine, mechanic, 1, 45)
    shown = page(client, "run_record", engine.pk)
    assert "TB-0001 is unserviceable" in shown and "5.0 h of run time over" in shown
    after = recorded(engine, mechanic, 0.1, 1)
    raised = Concern.objects.filter(kind="overdue")
    assert [(c.run, c.about) for c in raised] == [(after, "Look")]
    assert "Overdue: Look (scheduled inspection), 5.0 h of run time over" in raised[0].text
    assert not passing.concerns.filter(kind="overdue").exists()


def test_a_run_after_too_long_a_rest_without_preservation_has_to_be_settled(operator: Any, mechanic: Person) -> None:
    engine = EngineFactory.create(operator=operator)
    preserve = {"name": "Preserve", "kind": "preservation", "mandatory": True, "repeat": {"days": 28}}
    TypeRevisionFactory.create(engine_type=engine.engine_type, document=type_document() | {"tasks": [preserve]})
    recorded(engine, mechanic, 40, 1)
    late = recorded(engine, mechanic, 0.1, 1)
    assert [c.run for c in Concern.objects.filter(kind="overdue")] == [late]


def test_the_limits_of_a_type_show_its_tasks(client: Client, engine: Engine, director: Person) -> None:
    shown = page(came(client, director), "limits_detail", engine.engine_type.revisions.latest("number").pk)
    assert "Look<p>Scheduled inspection, mandatory" in shown
    assert "500.0 h of run time or 400 days, whichever comes first" in shown


def test_a_bulletin_is_added_to_a_part_and_shown_with_it(client: Client, engine: Engine, director: Person) -> None:
    came(client, director)
    part = ComponentFactory.create(operator=engine.operator, serial="D-7")
    part_fit(component=part, engine=engine, position="", at=timezone.now() - timedelta(days=1), by=director)
    client.post(reverse("task_add", args=[engine.pk]), SHEET | {"part": part.pk, "number": "INV-SB-1"})
    task = Task.objects.get()
    assert (task.engine, task.component) == (None, part)
    shown = page(client, "engine_due", engine.pk)
    assert "Disc (INV-SB-1 revision 2), of TB-100 D-7" in shown
    shown = page(client, "task_detail", engine.pk, task.pk)
    assert "its own counters count" in shown
    assert "It takes the place of Disc" in page(client, "task_add", engine.pk, replaces=task.pk)
