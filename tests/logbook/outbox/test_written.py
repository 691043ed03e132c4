"""Checks before a start and work that a phone kept: taken as their screens take them, over nobody's words."""

import uuid
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engines.models import Engine, StartCheck
from logbook.maintenance import actions
from logbook.maintenance.rows import Work
from logbook.models import Arrival, Concern, Person
from tests.logbook.outbox.kit import item, sent
from tests.logbook.screen_kit import signed_in
from tests.stage_checks import checks_asked

NAMES = ["Levers and fuel off", "Battery at rest"]
KEPT = "2026-05-04T07:10:00+00:00"
WORDS = {"description": "Fuel nozzle cleaned", "data_section": "73-10"}


@pytest.fixture
def phone(client: Client, mechanic: Person) -> Client:
    """Return a client with the mechanic signed in."""
    return signed_in(client, mechanic)


@pytest.fixture
def work(engine: Engine, mechanic: Person) -> Work:
    """Return maintenance that is begun."""
    return actions.work_open(engine=engine, kind=Work.Kind.WORK, facts={"description": "Begun"}, by=mechanic)


def checks_item(engine: Engine, by: Person, *boxes: list[str], **said: Any) -> dict[str, Any]:
    """Return answers to the checks as a phone keeps them."""
    about = {"about": str(engine.pk), "charts": NAMES, "kept_at": KEPT}
    return item(by, kind="checks", fields=list(boxes), **(about | said))


def change_item(work: Work, by: Person, words: str, based_on: str) -> dict[str, Any]:
    """Return what was written on a sheet that showed work as it was then."""
    return item(by, kind="work_change", about=str(work.pk), fields=[["based_on", based_on], ["description", words]])


def test_checks_are_kept_as_of_when_they_were_answered(phone: Client, engine: Engine, mechanic: Person) -> None:
    checks_asked(engine)
    body = checks_item(engine, mechanic, ["answer0", "so"], ["answer1", "24,5"], ["remarks", "Cold"])
    assert [sent(phone, body).status_code for _ in range(2)] == [201, 200]
    check = StartCheck.objects.get()
    assert (str(check.pk), check.by, check.at.isoformat(), check.remarks) == (body["id"], mechanic, KEPT, "Cold")
    assert [answer["value"] for answer in check.answers] == ["so", 24.5]


def test_checks_asked_in_fahrenheit_are_read_so_whatever_is_chosen_since(
    phone: Client, engine: Engine, mechanic: Person
) -> None:
    revision = checks_asked(engine)
    revision.document["checks"] = {"before_start": [{"name": "Oil temperature", "unit": "degC", "most": 80}]}
    revision.save(update_fields=["document"])
    named = {"charts": ["Oil temperature"]}
    body = checks_item(engine, mechanic, ["temperatures", "degF"], ["answer0", "150"], **named)
    assert sent(phone, body).status_code == 201
    (answer,) = StartCheck.objects.get().answers
    assert (answer["said"], answer["asked"], answer["question"]) == ("150 °F", "no more than 176 °F", "")


def test_an_answer_out_of_place_is_asked_about_and_put_to_the_director(
    phone: Client, engine: Engine, mechanic: Person
) -> None:
    checks_asked(engine)
    # The phone had the checks in another order.
    said = {"charts": NAMES[::-1]}
    body = checks_item(engine, mechanic, ["answer1", "so"], ["answer0", "22"], **said)
    asked = sent(phone, body).json()
    assert (asked["code"], set(asked["fields"])) == ("sheet_refused", {"answer0", "reason0"})
    answered = {**body, "fields": [*body["fields"], ["reason0", "Ground power goes on next"]]}
    assert sent(phone, answered).status_code == 201
    assert Concern.objects.get().reason == "Ground power goes on next"


def test_checks_that_the_type_no_longer_has_are_said(phone: Client, engine: Engine, mechanic: Person) -> None:
    assert sent(phone, checks_item(engine, mechanic)).json()["code"] == "no_checks"
    checks_asked(engine)
    refused = sent(phone, checks_item(engine, mechanic, ["answer0", "so"], charts=["Door shut"])).json()
    assert refused["detail"].startswith("The limits have no “Door shut” any more.")
    assert not StartCheck.objects.exists()


def test_work_is_begun_once_and_is_no_entry(phone: Client, engine: Engine, mechanic: Person) -> None:
    body = item(mechanic, kind="work", about=f"{engine.pk}/work", fields=[list(pair) for pair in WORDS.items()])
    first, again = sent(phone, body), sent(phone, body)
    assert (first.status_code, again.json()) == (201, first.json())
    work = Work.objects.get()
    assert (work.opened_by, work.state, work.facts | WORDS == work.facts) == (mechanic, Work.State.OPEN, True)
    assert (first.json()["link"], first.json()["made"]) == (reverse("work_detail", args=[work.pk]), f"work/{work.pk}")
    assert not mechanic.operator.entries.exists()


def test_a_box_that_cannot_be_read_is_refused_by_name(phone: Client, engine: Engine, mechanic: Person) -> None:
    about = f"{engine.pk}/inspection"
    lines = [["found-TOTAL_FORMS", "1"], ["found-INITIAL_FORMS", "0"], ["found-0-placard_on", "soon"]]
    refused = sent(phone, item(mechanic, kind="work", about=about, fields=[["hours", "1.234,5"], *lines])).json()
    assert (refused["code"], set(refused["fields"])) == ("sheet_refused", {"hours", "found-0-placard_on"})
    unknown = sent(phone, item(mechanic, kind="work", about=f"{engine.pk}/song"))
    assert (unknown.json()["code"], Work.objects.count()) == ("item_unknown", 0)


def test_what_was_written_on_the_same_sheet_follows_what_was_sent_before(
    phone: Client, work: Work, mechanic: Person
) -> None:
    based_on = work.changed_at.isoformat()
    for words in ("First", "Second"):
        assert sent(phone, change_item(work, mechanic, words, based_on)).json()["is_late"] is False
    work.refresh_from_db()
    assert work.facts["description"] == "Second"
    assert not Concern.objects.exists()


def test_what_somebody_wrote_meanwhile_stays_and_each_late_item_is_put_to_the_director(
    phone: Client, work: Work, mechanic: Person, director: Person
) -> None:
    based_on = work.changed_at.isoformat()
    actions.work_change(work=work, facts={"description": "At the desk"}, by=director)
    for second, words in enumerate(("First", "Second")):
        kept_at = (datetime(2026, 5, 4, 7, tzinfo=UTC) + timedelta(seconds=second)).isoformat()
        answer = sent(phone, change_item(work, mechanic, words, based_on) | {"kept_at": kept_at}).json()
        assert (answer["is_late"], f"Written on meanwhile by {director}" in answer["words"]) == (True, True)
    work.refresh_from_db()
    assert work.facts == {"description": "At the desk"}
    told = Concern.objects.filter(kind=Concern.Kind.KEPT_LATE).values_list("engine", "about", "reason")
    assert [(engine, about) for engine, about, _ in told] == [(work.engine_id, str(work))] * 2
    assert ["First" in told[0][2], "Second" in told[1][2]] == [True, True]


def test_work_that_was_dropped_meanwhile_stays_dropped(phone: Client, work: Work, mechanic: Person) -> None:
    based_on = work.changed_at.isoformat()
    actions.work_drop(work=work, why="Not needed", by=mechanic)
    answer = sent(phone, change_item(work, mechanic, "More", based_on)).json()
    assert (answer["is_late"], answer["words"].startswith("Stored. Dropped unsigned by ")) == (True, True)
    assert Work.objects.get().facts == {"description": "Begun"}


def test_an_ordered_number_is_read_neither_as_a_time_nor_as_an_order(
    phone: Client, engine: Engine, mechanic: Person
) -> None:
    # RFC 9562, section 5.7: the first 48 bits of version 7 are milliseconds since 1970; here of 2031, and then of 2001.
    made = [datetime(year, 1, 1, tzinfo=UTC) for year in (2031, 2001)]
    bodies = [item(mechanic, kind="work", about=f"{engine.pk}/work", id=ordered(moment)) for moment in made]
    receipts = [sent(phone, body).json()["receipt"] for body in bodies]
    assert receipts == sorted(receipts)
    rows = Arrival.objects.order_by("pk")
    assert [str(row.item) for row in rows] == [body["id"] for body in bodies]
    assert [row.kept_at.isoformat() for row in rows] == [body["kept_at"] for body in bodies]
    assert all(abs(row.received_at - datetime.now(UTC)) < timedelta(hours=1) for row in rows)


def ordered(moment: datetime) -> str:
    """Return a number of version 7 that was made at a moment."""
    number = int(moment.timestamp() * 1000) << 80 | 0x7 << 76 | 0b10 << 62 | uuid.uuid4().int & (1 << 62) - 1
    made = uuid.UUID(int=number)
    assert (made.version, made.int >> 80) == (7, int(moment.timestamp() * 1000))
    return str(made)
