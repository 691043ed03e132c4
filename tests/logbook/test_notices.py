"""What leaves the site about what is due: a calendar at a secret address, and one mail a day to who chose it."""

import re
from datetime import date, timedelta
from typing import Any

import pytest
from django.core import mail
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from icalendar import Calendar

from engines.actions import task_add
from engines.models import Engine
from logbook.models import CalendarAddress, Concern, DigestChoice, Person
from logbook.notices import digests_due, stop_key
from tests.factories import InspectionFactory, RunFactory

TODAY = timezone.localdate()
SOON = {"name": "Plug", "kind": "other", "mandatory": True, "initial": {"days": 12}, "counts_from": "begun"}
HOURS = {"name": "Filter", "kind": "oil_filter", "mandatory": True, "repeat": {"run_time_h": 1}}


@pytest.fixture
def due(engine: Engine, director: Person) -> Engine:
    """Return an engine with one task that is due in twelve days and one that is overdue."""
    task_add(engine=engine, document=SOON, begins_on=TODAY, by=director)
    task_add(engine=engine, document=HOURS, begins_on=TODAY, by=director)
    RunFactory.create(engine=engine, started_at=timezone.now() - timedelta(days=2), run_time_s=7200)
    return engine


def calendar_made(client: Client, person: Person) -> str:
    client.force_login(person)
    response = client.post(reverse("calendar_add"))
    assert response.status_code == 201
    found = re.search(r"http://testserver(/calendar/[\w-]+\.ics)", response.content.decode())
    assert found is not None
    return found[1]


def events(path: str) -> dict[str, Any]:
    response = Client().get(path)
    assert (response.status_code, response["Content-Type"]) == (200, "text/calendar; charset=utf-8")
    return {str(event["summary"]): event for event in Calendar.from_ical(response.content).walk("VEVENT")}


def test_the_calendar_is_read_without_signing_in(client: Client, due: Engine, mechanic: Person) -> None:
    found = events(calendar_made(client, mechanic))
    assert set(found) == {"TB-0001: Plug due", "TB-0001: Filter overdue"}
    plug = found["TB-0001: Plug due"]
    assert (plug["dtstart"].dt, plug["dtend"].dt) == (TODAY + timedelta(days=12), TODAY + timedelta(days=13))
    assert str(plug["url"]) == f"http://testserver{reverse('engine_due', args=[due.pk])}"
    assert found["TB-0001: Filter overdue"]["dtstart"].dt == TODAY
    assert CalendarAddress.objects.get().last_read_at is not None


def test_names_of_events_stay_from_reading_to_reading(client: Client, due: Engine, mechanic: Person) -> None:
    path = calendar_made(client, mechanic)
    first, second = events(path), events(path)
    assert [str(e["uid"]) for e in first.values()] == [str(e["uid"]) for e in second.values()]
    assert len({str(e["uid"]) for e in first.values()}) == 2


def test_a_new_address_ends_the_one_before_and_it_can_be_revoked(client: Client, mechanic: Person) -> None:
    first = calendar_made(client, mechanic)
    second = calendar_made(client, mechanic)
    assert first != second and Client().get(first).status_code == 404
    assert "Revoke the calendar address" in client.get(reverse("token_list")).content.decode()
    client.post(reverse("calendar_revoke"))
    client.post(reverse("calendar_revoke"))
    assert Client().get(second).status_code == 404
    assert "You have no calendar address." in client.get(reverse("token_list")).content.decode()


def test_a_closed_account_has_no_calendar(client: Client, mechanic: Person) -> None:
    path = calendar_made(client, mechanic)
    mechanic.is_active = False
    mechanic.save()
    assert Client().get(path).status_code == 404


def test_nobody_reads_another_operators_calendar(client: Client, due: Engine, stranger: Person) -> None:
    assert events(calendar_made(client, stranger)) == {}


SHEET = {"when": "daily", "email": "tamsin@example.org", "of_due": "on", "of_inspections": "on"}


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"when": ""}, "Choose when."),
        ({"email": ""}, "Give the address"),
        ({"email": "nowhere"}, "valid email"),
        ({"of_due": "", "of_inspections": ""}, "at least one thing"),
    ],
)
def test_mails_to_nowhere_and_of_nothing_are_refused(
    client: Client, mechanic: Person, change: dict[str, str], words: str
) -> None:
    client.force_login(mechanic)
    response = client.post(reverse("digest_set"), {k: v for k, v in (SHEET | change).items() if v})
    assert response.status_code == 422
    assert words in response.content.decode()
    assert not DigestChoice.objects.exists()


def test_when_and_what_are_chosen_apart(client: Client, mechanic: Person) -> None:
    client.force_login(mechanic)
    client.post(reverse("digest_set"), SHEET)
    assert "every day" in client.get(reverse("token_list")).content.decode()
    shown = client.get(reverse("digest_set")).content.decode()
    assert 'value="tamsin@example.org"' in shown
    client.post(reverse("digest_set"), {"when": "never"})
    assert DigestChoice.objects.get().when == "never"


def choice(person: Person, **more: Any) -> DigestChoice:
    person.email = "tamsin@example.org"
    person.save()
    return DigestChoice.objects.create(person=person, **{"when": "daily", **more})


@pytest.fixture
def smtp(settings: Any) -> None:
    """Let mail go out, to the tests' own box."""
    settings.SMTP, settings.ADDRESS = "smtp://localhost", "https://log.example.org/"


@pytest.mark.usefixtures("smtp")
def test_one_mail_a_day_says_what_is_due_and_open(due: Engine, mechanic: Person, capsys: Any) -> None:
    InspectionFactory.create(run=RunFactory.create(engine=due))
    Concern.objects.create(operator=due.operator, kind="late", about="The run", text="late", raised_by=mechanic)
    choice(mechanic, of_concerns=True)
    call_command("digest")
    call_command("digest")
    assert "1 sent; 0 had nothing to say" in capsys.readouterr().out
    (sent,) = mail.outbox
    assert sent.to == ["tamsin@example.org"]
    assert f"TB-0001: Plug, 12 days left; reached {TODAY + timedelta(days=12)}" in sent.body
    assert "TB-0001: Filter, 1.0 h of run time over; reached now: it is overdue" in sent.body
    assert "Hot section inspection, before the next flight" in sent.body
    assert "To settle (1)\n- The run: late" in sent.body
    assert "https://log.example.org/due/" in sent.body


@pytest.mark.usefixtures("smtp")
def test_an_empty_mail_is_not_sent(mechanic: Person, capsys: Any) -> None:
    choice(mechanic)
    call_command("digest")
    assert "0 sent; 1 had nothing to say" in capsys.readouterr().out
    assert mail.outbox == []


@pytest.mark.usefixtures("smtp")
def test_a_mail_lists_forty_of_each_and_says_how_many_more(engine: Engine, mechanic: Person) -> None:
    run = RunFactory.create(engine=engine)
    for k in range(42):
        InspectionFactory.create(run=run, ordinal=k + 1)
    choice(mechanic, of_due=False)
    call_command("digest")
    assert mail.outbox[0].body.count("\n- ") == 40
    assert "… and 2 more" in mail.outbox[0].body


@pytest.mark.parametrize(("day", "count"), [(date(2026, 5, 4), 2), (date(2026, 5, 5), 1)])
def test_mondays_come_once_a_week(mechanic: Person, inspector: Person, day: date, count: int) -> None:
    choice(mechanic)
    choice(inspector, when="mondays")
    assert len(list(digests_due(day))) == count


def test_nobody_gets_a_mail_who_left_or_has_no_address(mechanic: Person, inspector: Person, director: Person) -> None:
    choice(mechanic, when="never")
    gone = choice(inspector).person
    gone.is_active = False
    gone.save()
    DigestChoice.objects.create(person=director, when="daily")
    assert list(digests_due(TODAY)) == []


@pytest.mark.usefixtures("smtp")
def test_the_link_in_a_mail_stops_them_without_signing_in(due: Engine, mechanic: Person) -> None:
    kept = choice(mechanic)
    call_command("digest")
    link = mail.outbox[0].extra_headers["List-Unsubscribe"].strip("<>").removeprefix("https://log.example.org")
    assert link in mail.outbox[0].body
    client = Client(enforce_csrf_checks=True)
    assert "Stop the mails?" in client.get(link).content.decode()
    kept.refresh_from_db()
    assert kept.when == "daily"
    assert "No more mails" in client.post(link).content.decode()
    kept.refresh_from_db()
    assert kept.when == "never"


def test_a_link_that_was_made_up_stops_nothing(mechanic: Person) -> None:
    choice(mechanic)
    assert Client().get(reverse("digest_stop", args=[f"{stop_key(mechanic)[:-2]}xx"])).status_code == 404


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("server", "missing"), [("", "EMBERMARK_SMTP and EMBERMARK_ADDRESS"), ("smtp://x", "EMBERMARK_ADDRESS")]
)
def test_no_mail_goes_out_where_the_site_has_no_server(settings: Any, server: str, missing: str) -> None:
    settings.SMTP, settings.ADDRESS = server, ""
    with pytest.raises(CommandError, match=missing):
        call_command("digest")
