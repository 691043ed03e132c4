"""What is asked of releases away from base, of the data worked to, and of airworthiness limitations, by its number."""

from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engines.actions import Accomplishment, task_add, task_record
from engines.errors import DocumentError, DomainError
from engines.models import Engine
from engines.standing import standings_of
from engines.task_documents import task_document_read
from logbook.conditions import conditions_of
from logbook.maintenance.publications import publication_add
from logbook.maintenance.rules import rules_choose
from logbook.models import Person
from logbook.statements.coverage import CERTIFYING
from tests.logbook.maintenance.kit import AUTHORISED, certified, opened, sign_on_screen, signed
from tests.logbook.screen_kit import signed_in, words

DAY = timedelta(days=1)
PENDING = {"outcome": "provisional", "pending": "Nozzle to be looked at", **AUTHORISED}
LIMITATION = {
    "name": "Disc",
    "kind": "limitation",
    "mandatory": True,
    "repeat": {"cycles": 500},
    "source": "Invented limitations, chapter 5",
    "revision": "3",
}


@pytest.fixture
def european(director: Person, mechanic: Person) -> None:
    """Let the operator release under the rules of Europe."""
    rules_choose(by=director, ruleset="easa", organisation="Testholm Repair (invented)", approval="TST.145.1")
    certified(mechanic, CERTIFYING)


def test_r_801_c_a_provisional_release_says_who_authorised_whom(
    european: None, engine: Engine, mechanic: Person
) -> None:
    said = PENDING | {"authorised_by": "", "qualifications": "", "years": 2, "told": "", "days": ""}
    with pytest.raises(DomainError) as refused:
        signed(opened(engine, mechanic, **said), mechanic)
    assert {"authorised_by", "qualifications", "years", "told", "days"} <= set(refused.value.fields)


def test_r_801_c_two_countdowns_run_until_signed_entries_settle_them(
    client: Client, european: None, engine: Engine, mechanic: Person
) -> None:
    entry = signed(opened(engine, mechanic, **PENDING | {"days": "30"}), mechanic)
    today = timezone.localdate()
    check, told = engine.discrepancies.order_by("number")
    assert (check.due_now, told.due_now) == (today + 30 * DAY, today + 7 * DAY)
    assert [one.lines.get().state for one in (check, told)] == ["pending", "pending"]
    text = words(signed_in(client, mechanic).get(reverse("entry_detail", args=[entry.number])))
    for said in ("Authorised by the owner Owner of the test engine", f"To be checked again by {today + 30 * DAY}"):
        assert said in text
    shown = words(client.get(reverse("discrepancy_list")))
    assert "30 days left" in shown and "7 days left" in shown
    assert conditions_of([engine])[engine.pk].is_serviceable
    with time_machine.travel(timezone.now() + 8 * DAY):
        reasons = conditions_of([engine])[engine.pk].reasons
    assert len(reasons) == 1 and "to be told of the release away from base" in reasons[0]
    facts = {"description": "Told by letter", "outcome": "work", "closes": [str(told.pk)]}
    signed(opened(engine, mechanic, **facts), mechanic)
    with time_machine.travel(timezone.now() + 8 * DAY):
        assert conditions_of([engine])[engine.pk].is_serviceable


def test_r_43_13_a_work_to_another_revision_than_the_one_on_file_is_warned_of(
    client: Client, engine: Engine, mechanic: Person, director: Person
) -> None:
    rules_choose(by=director, ruleset="us")
    signed_in(client, director)
    address = reverse("publication_list")
    document = {"title": "Invented maintenance manual 72-00", "revision": "10", "dated": "2026-05-01"}
    assert client.post(address, document).status_code == 302
    assert "Invented maintenance manual 72-00 10 2026-05-01" in words(client.get(address))
    assert "is on file" in words(client.post(address, document))
    assert "Name the document" in words(client.post(address, {"revision": "1"}))
    signed_in(client, mechanic)
    assert client.post(address, document).status_code == 403
    work = opened(engine, mechanic)
    warning = "Worked to revision 9 of Invented maintenance manual 72-00; on file here is revision 10"
    for name in ("work_detail", "work_sign"):
        assert warning in words(client.get(reverse(name, args=[work.pk])))
    signed_at = sign_on_screen(client, work)
    assert warning in words(client.get(signed_at["Location"]))
    newest = opened(engine, mechanic, data_revision="10")
    assert "on file here" not in words(client.get(reverse("work_detail", args=[newest.pk])))


def test_what_lacks_title_or_revision_is_not_put_on_file(director: Person) -> None:
    with pytest.raises(DomainError) as refused:
        publication_add(title=" ", revision="", dated=None, by=director)
    assert set(refused.value.fields) == {"title", "revision"}


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"mandatory": False}, "mandatory"),
        ({"source": ""}, "source"),
        ({"revision": ""}, "revision"),
        ({"extension": {"cycles": 10}}, "extension"),
    ],
)
def test_r_43_16_an_airworthiness_limitation_is_mandatory_sourced_and_not_extended(
    change: dict[str, Any], field: str
) -> None:
    assert task_document_read(LIMITATION).kind_words == "Airworthiness limitation"
    with pytest.raises(DocumentError) as refused:
        task_document_read(LIMITATION | change)
    assert field in refused.value.fields


def test_r_43_16_it_is_changed_only_by_a_newer_revision_of_its_section(engine: Engine, director: Person) -> None:
    said: dict[str, Any] = {"engine": engine, "begins_on": timezone.localdate(), "by": director}
    old = task_add(document=LIMITATION, **said)
    for change in (
        {"repeat": {"cycles": 600}},
        {"kind": "other", "revision": "4"},
        {"source": "Other", "revision": "4"},
    ):
        with pytest.raises(DomainError) as refused:
            task_add(document=LIMITATION | change, replaces=old, **said)
        assert refused.value.code == "limitation_locked"
    new = task_add(document=LIMITATION | {"repeat": {"cycles": 600}, "revision": "4"}, replaces=old, **said)
    assert new.replaces == old


def test_r_43_16_it_is_done_and_never_set_aside(engine: Engine, director: Person) -> None:
    task_add(engine=engine, document=LIMITATION, begins_on=timezone.localdate(), by=director)
    (standing,) = standings_of([engine])[engine.pk]
    for outcome in ("not_applicable", "terminated"):
        with pytest.raises(DomainError) as refused:
            task_record(standing=standing, said=Accomplishment(outcome, timezone.localdate(), "x"), by=director)
        assert refused.value.code == "limitation_locked"
    done = task_record(
        standing=standing, said=Accomplishment("done", timezone.localdate(), "As 5-10 says"), by=director
    )
    assert done.outcome == "done"
