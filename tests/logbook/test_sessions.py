"""How a session ends: by the clock, without losing what was sent, and with a way back."""

import datetime
from collections.abc import Iterator

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from engines.models import Engine
from logbook.models import Person
from tests.logbook.screen_kit import HTMX, PASSWORD, inspection_opened, recording_file, run_with_inspection, words

BEGIN = datetime.datetime(2026, 5, 4, 6, 0, tzinfo=datetime.UTC)
SHIFT_MIN = 12 * 60


@pytest.fixture
def clock() -> Iterator[time_machine.Traveller]:
    """Return a clock that stands still until it is moved."""
    with time_machine.travel(BEGIN, tick=False) as traveller:
        yield traveller


def is_in(client: Client) -> bool:
    """Return whether the client is still signed in."""
    return client.get(reverse("engine_list")).status_code == 200


def come_back(client: Client, person: Person, address: str) -> str:
    """Sign in where the sign-in screen was shown, and return where that leads."""
    response = client.post(address, {"login": person.username, "password": PASSWORD})
    return str(response["Location"])


@pytest.mark.parametrize(
    ("role", "idle_min", "is_still_in"),
    [
        ("mechanic", 29, True),
        ("mechanic", 30, False),
        ("director", 30, False),
        ("auditor", 29, True),
        ("auditor", 31, False),
        ("inspector", 14, True),
        ("inspector", 15, False),
    ],
)
def test_a_session_ends_when_nothing_was_sent_for_long(
    role: str,
    idle_min: int,
    is_still_in: bool,
    *,
    client: Client,
    clock: time_machine.Traveller,
    request: pytest.FixtureRequest,
) -> None:
    client.force_login(request.getfixturevalue(role))
    clock.shift(datetime.timedelta(minutes=idle_min))
    assert is_in(client) is is_still_in


def test_whoever_works_stays_in_for_a_shift_and_no_longer(
    client: Client, clock: time_machine.Traveller, mechanic: Person
) -> None:
    client.force_login(mechanic)
    for _ in range(SHIFT_MIN // 20 - 1):
        clock.shift(datetime.timedelta(minutes=20))
        assert is_in(client)
    clock.shift(datetime.timedelta(minutes=20))
    assert not is_in(client)


def test_being_seen_is_written_once_a_minute(client: Client, clock: time_machine.Traveller, mechanic: Person) -> None:
    client.force_login(mechanic)
    seen = []
    for seconds in (0, 59, 1):
        clock.shift(seconds)
        assert is_in(client)
        seen.append(client.session["seen_at"] - BEGIN.timestamp())
    assert seen == [0, 0, 60]


def test_a_session_from_before_it_was_counted_begins_now(
    client: Client, clock: time_machine.Traveller, mechanic: Person
) -> None:
    client.force_login(mechanic)
    session = client.session
    del session["seen_at"], session["came_at"]
    session.save()
    assert is_in(client)
    clock.shift(datetime.timedelta(minutes=29))
    assert is_in(client)
    assert client.session["came_at"] == BEGIN.timestamp()


def test_the_person_is_told_and_comes_back_to_the_page(
    client: Client, clock: time_machine.Traveller, inspector: Person
) -> None:
    client.force_login(inspector)
    clock.shift(datetime.timedelta(minutes=16))
    shown = client.get(f"{reverse('entry_list')}?page=2")
    assert shown["Location"] == f"{reverse('sign_in')}?next=/entries/%3Fpage%3D2"
    assert "a session ends after 15 minutes without use" in words(client.get(shown["Location"]))
    assert come_back(client, inspector, shown["Location"]) == "/entries/?page=2"


def test_a_fragment_leads_back_to_the_page_it_was_for(
    client: Client, clock: time_machine.Traveller, engine: Engine, mechanic: Person
) -> None:
    inspection = inspection_opened(engine, mechanic)
    client.force_login(mechanic)
    clock.shift(datetime.timedelta(minutes=31))
    page = f"/inspections/{inspection.pk}/?paper=a4"
    headers = {**HTMX, "HX-Current-URL": f"http://testserver{page}"}
    response = client.post(reverse("inspection_begin", args=[inspection.pk]), headers=headers)
    assert (response.status_code, response.content) == (200, b"")
    assert come_back(client, mechanic, response["HX-Redirect"]) == page
    inspection.refresh_from_db()
    assert inspection.state == "open"


@pytest.mark.parametrize(
    ("referer", "back"),
    [
        ("http://testserver/inspections/7/?part=b", "/inspections/7/?part=b"),
        ("http://testserver/inspections/7/", "/inspections/7/"),
        ("http://elsewhere.example/inspections/7/", "/"),
        ("", "/"),
    ],
)
def test_what_was_sent_leads_back_to_the_page_it_was_sent_from(
    referer: str, back: str, client: Client, mechanic: Person
) -> None:
    response = client.post(reverse("inspection_begin", args=[7]), headers={"Referer": referer})
    assert come_back(client, mechanic, response["Location"]) == back


def test_a_way_back_to_another_site_is_not_taken(client: Client, mechanic: Person) -> None:
    assert come_back(client, mechanic, f"{reverse('sign_in')}?next=https://elsewhere.example/") == reverse(
        "engine_list"
    )


def waiting_address(client: Client, engine: Engine, person: Person) -> str:
    """Send a recorder's file with strange columns, and return where they are matched."""
    run = run_with_inspection(engine, person)
    file = recording_file(header="s,t5,gas,tq,oil")
    response = client.post(reverse("trace_add", args=[run.pk]), {"file": file, "check": "on"})
    return str(response["Location"])


def test_a_file_that_waits_for_its_columns_waits_for_its_person(
    client: Client, clock: time_machine.Traveller, engine: Engine, mechanic: Person, director: Person
) -> None:
    client.force_login(mechanic)
    address = waiting_address(client, engine, mechanic)
    clock.shift(datetime.timedelta(minutes=31))
    come_back(client, mechanic, client.get(address)["Location"])
    assert "t5" in client.get(address).content.decode()
    clock.shift(datetime.timedelta(minutes=31))
    come_back(client, director, client.get(address)["Location"])
    assert client.get(address).status_code == 302


def test_other_programs_are_refused_with_an_ended_session(
    client: Client, clock: time_machine.Traveller, mechanic: Person
) -> None:
    client.force_login(mechanic)
    assert client.get("/api/v1/engines/").status_code == 200
    clock.shift(datetime.timedelta(minutes=30))
    assert client.get("/api/v1/engines/").status_code == 401
