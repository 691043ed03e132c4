"""Tasks of parts: recorded by an entry about the part, and kept in view while it is off its engine."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engines.actions import ledger_correct, part_fit, part_remove, part_send, task_add
from engines.models import Component, Engine, Task
from inspections.queries import condition_of
from logbook.models import DigestChoice, Entry, Person
from logbook.notices import digest_text
from tests.factories import ComponentFactory
from tests.logbook.due_kit import DIRECTIVE, TODAY, came, engine_with_tasks, page, under
from tests.logbook.screen_kit import act


@pytest.fixture
def engine(engine: Engine) -> Engine:
    """Return an engine whose type has tasks, and which ran twelve times, every third week."""
    return engine_with_tasks(engine)


def test_a_part_s_task_is_an_entry_about_the_part(client: Client, engine: Engine, director: Person) -> None:
    came(client, director)
    part = ComponentFactory.create(operator=engine.operator, part_number="TB-900", serial="SN-1", brought_starts=7)
    part_fit(component=part, engine=engine, position="disc", at=timezone.now() - timedelta(days=3), by=director)
    task = task_add(engine=engine, document=DIRECTIVE, begins_on=TODAY, by=director, component=part)
    act(client, "task_detail", [engine.pk, task.pk], outcome="done", on=TODAY, method="Eddy current", **under(director))
    entry = Entry.objects.get()
    assert (entry.engine, entry.component) == (engine, part)
    rows = dict(entry.body["part"])
    assert (rows["Serial"], rows["Counters then, of the part"]) == ("SN-1", "4.0 h of run time, 8 starts")
    assert entry.body["engine"]["serial"] == "TB-0001"


@pytest.fixture
def shelved(engine: Engine, director: Person) -> Component:
    """Return a part with a directive, which ran on the engine for four hours and lies on a shelf."""
    part = ComponentFactory.create(operator=engine.operator, part_number="TB-900", serial="SN-1", brought_starts=7)
    part_fit(component=part, engine=engine, position="disc", at=timezone.now() - timedelta(days=3), by=director)
    begins_on = TODAY - timedelta(days=31)
    task_add(engine=engine, document=DIRECTIVE, begins_on=begins_on, by=director, component=part)
    part_remove(component=part, at=timezone.now() - timedelta(days=1), by=director, place="shelf 4")
    return part


def test_a_task_of_a_part_off_its_engine_stands_on_its_screen_and_comes_due(
    client: Client, engine: Engine, shelved: Component, director: Person
) -> None:
    """The calendar goes on while it lies on a shelf; the engine that it came from is not held by it."""
    came(client, director)
    address = reverse("part_task", args=[shelved.pk, Task.objects.get().pk])
    assert f'<a href="{address}">Disc (INV-7), of TB-900 SN-1</a>: 1 day over; <strong>overdue</strong>' in page(
        client, "part_detail", shelved.pk
    )
    shown = page(client, "due_list")
    assert f'href="{address}"' in shown and "off its engine" in shown and "1 day over" in shown
    assert "Disc" not in page(client, "engine_due", engine.pk)
    assert condition_of(engine).is_serviceable
    assert "off its engine: Disc (INV-7), of TB-900 SN-1, 1 day over" in digest_text(
        DigestChoice(person=director, when="daily", of_due=True)
    )
    (line,) = [row for row in client.get(reverse("api:due-list")).json()["results"] if row["component"]]
    assert (line["engine"], line["component"], line["what"]) == (None, shelved.pk, "Disc (INV-7), of TB-900 SN-1")
    lines = client.get(reverse("due_table", args=["csv"]))
    assert "off its engine" in b"".join(lines.streaming_content).decode()  # type: ignore[attr-defined]


def test_a_task_of_a_part_off_its_engine_is_recorded_by_an_entry_about_the_part(
    client: Client, shelved: Component, director: Person
) -> None:
    came(client, director)
    where = [shelved.pk, Task.objects.get().pk]
    act(client, "part_task", where, outcome="done", on=TODAY, method="Eddy current", **under(director))
    entry = Entry.objects.get(kind="task")
    assert (entry.engine, entry.component, entry.body["times"]) == (None, shelved, {})
    assert dict(entry.body["part"])["Counters then, of the part"] == "4.0 h of run time, 8 starts"
    assert "60 days left" in page(client, "part_task", *where)
    assert "60 days left" in page(client, "part_detail", shelved.pk)
    assert client.get(reverse("part_task", args=[shelved.pk, "none"])).status_code == 404


def test_a_task_of_a_part_off_its_engine_is_extended_and_signed(
    client: Client, shelved: Component, director: Person
) -> None:
    came(client, director)
    where = [shelved.pk, Task.objects.get().pk]
    assert "1 day over" in page(client, "part_task", *where)
    assert reverse("part_task_extend", args=where) in page(client, "part_task", *where)
    act(client, "part_task_extend", where, reason="Away from base", **under(director))
    entry = Entry.objects.get(kind="task")
    assert (entry.engine, entry.component) == (None, shelved)
    assert dict(entry.body["part"])["How it ended"] == "Extended once, as the source grants"
    assert "9 days left" in page(client, "part_task", *where)
    assert client.get(reverse("part_task_extend", args=[shelved.pk, "none"])).status_code == 404


@pytest.mark.parametrize("gone", ["sent", "mutilated"])
def test_what_is_gone_comes_due_no_more(client: Client, shelved: Component, director: Person, gone: str) -> None:
    if gone == "sent":
        part_send(component=shelved, to="Another owner", at=timezone.now(), by=director, control="1")
    else:
        line = shelved.movements.latest("pk")
        again = {"kind": "removed", "at": line.at, "engine": line.engine, "control": "6", "place": "scrap"}
        ledger_correct(component=shelved, struck=[line.pk], reason="It was cut up", lines=[again], by=director)
    assert "TB-900" not in page(came(client, director), "due_list")
