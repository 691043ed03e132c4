"""Checks before a start: answered on a sheet, asked about where out of place, put to the director, and printed."""

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engines.errors import DomainError
from engines.models import Engine, StartCheck
from engines.start_checks import SO
from logbook.models import Concern, Person
from logbook.shown_units import units_choose
from logbook.start_checks import check_before, check_enter
from tests.factories import STARTED_AT
from tests.logbook.screen_kit import signed_in, words
from tests.logbook.test_screens_start import pdf_words, started

CHECKS = {
    "before_start": [{"name": "Levers and fuel off"}, {"name": "Battery at rest", "unit": "V", "least": 24}],
    "source": "invented for the tests, page 5",
}


@pytest.fixture
def checked(engine: Engine) -> Engine:
    """Return an engine whose type has checks before a start."""
    revision = engine.engine_type.revisions.get()
    revision.document["checks"] = CHECKS
    revision.save(update_fields=["document"])
    return engine


def test_the_cautions_come_first_and_nobody_at_the_controls_presses_anything(
    client: Client, checked: Engine, mechanic: Person
) -> None:
    page = words(signed_in(client, mechanic).get(reverse("check_add", args=[checked.pk])))
    assert page.index("Before any engine runs") < page.index("Levers and fuel off")
    assert "Nothing here has to be pressed by whoever operates the engine." in page
    assert "The type asks for at least 24 V." in page


def test_answers_in_place_are_kept(client: Client, checked: Engine, mechanic: Person) -> None:
    sent = {"answer0": SO, "answer1": "25,1", "remarks": "Cold morning"}
    response = signed_in(client, mechanic).post(reverse("check_add", args=[checked.pk]), sent, follow=True)
    check = StartCheck.objects.get()
    assert [answer["said"] for answer in check.answers] == ["as it should be", "25.1 V"]
    assert (check.by, check.wrong) == (mechanic, [])
    page = words(response)
    assert "Every answer in place" in page
    assert "Cold morning" in page
    assert not Concern.objects.exists()
    assert "every answer in place" in words(client.get(reverse("check_add", args=[checked.pk])))


def test_an_answer_out_of_place_needs_a_reason_and_goes_to_the_director(
    client: Client, checked: Engine, mechanic: Person
) -> None:
    address = reverse("check_add", args=[checked.pk])
    sent = {"answer0": SO, "answer1": "22"}
    asked = signed_in(client, mechanic).post(address, sent)
    assert asked.status_code == 422
    page = words(asked)
    assert "Battery at rest: 22 V; the type asks for at least 24 V. Put it right, or say why it is so." in page
    assert "Why it is so: Battery at rest" in page
    assert not StartCheck.objects.exists()
    client.post(address, sent | {"reason1": "Ground power goes on next"})
    concern = Concern.objects.get()
    assert (concern.kind, concern.engine, concern.about) == ("check", checked, "Battery at rest")
    assert (concern.text, concern.reason) == (
        "Battery at rest: 22 V; the type asks for at least 24 V.",
        "Ground power goes on next",
    )
    shown = words(client.get(reverse("check_detail", args=[StartCheck.objects.get().pk])))
    assert "1 answer out of place, put to the director to settle" in shown
    assert "22 V, out of place at least 24 V Ground power goes on next" in shown


def test_what_is_no_number_is_refused_before_anything_is_asked(
    client: Client, checked: Engine, mechanic: Person
) -> None:
    response = signed_in(client, mechanic).post(reverse("check_add", args=[checked.pk]), {"answer1": "low"})
    assert response.status_code == 422
    assert "Put it right, or say why" not in words(response)


def test_an_auditor_reads_and_sends_nothing(client: Client, checked: Engine, auditor: Person) -> None:
    address = reverse("check_add", args=[checked.pk])
    assert "Keep the answers" not in signed_in(client, auditor).get(address).content.decode()
    assert client.post(address, {"answer0": SO, "answer1": "25"}).status_code == 403


def test_a_type_without_checks_says_so(client: Client, engine: Engine, mechanic: Person) -> None:
    page = words(signed_in(client, mechanic).get(reverse("check_add", args=[engine.pk])))
    assert "has no checks before a start" in page
    with pytest.raises(DomainError) as refused:
        entered(engine, mechanic, [])
    assert refused.value.code == "no_checks"


def entered(engine: Engine, by: Person, answers: list[Any], **more: Any) -> StartCheck:
    revision = engine.engine_type.revisions.get()
    return check_enter(engine=engine, revision=revision, answers=answers, by=by, **{"reasons": {}, **more})


def test_checks_are_printed_alone_and_with_the_start_that_followed(
    client: Client, checked: Engine, mechanic: Person
) -> None:
    at = STARTED_AT - timedelta(minutes=20)
    check = entered(checked, mechanic, [SO, 22.0], at=at, reasons={1: "Ground power goes on next"})
    signed_in(client, mechanic)
    alone = pdf_words(client.get(reverse("check_print", args=[check.pk]), {"paper": "a4"}))
    assert "Out of place. Why: Ground power goes on next" in alone
    run = started(checked, mechanic, 0)
    printed = pdf_words(client.get(reverse("start_print", args=[run.pk, 1]), {"paper": "a4"}))
    assert "Out of place. Why: Ground power goes on next" in printed
    shown = words(client.get(reverse("start_detail", args=[run.pk, 1])))
    assert "Checks before a start, 2026-05-04 07:10 : 1 answer out of place." in shown
    assert check_before(checked, STARTED_AT + timedelta(hours=3)) is None


def test_the_same_checks_again_change_nothing(checked: Engine, mechanic: Person) -> None:
    check = entered(checked, mechanic, [SO, 25.0])
    assert entered(checked, mechanic, [SO, 22.0], id=check.pk) == check
    assert check.at <= timezone.now()
    with pytest.raises(TypeError, match="only ever added"):
        check.save()


WARM = {
    "before_start": [
        {"name": "Air", "unit": "degC"},
        {"name": "Gas temperature", "unit": "degC", "near": "Air", "within": 20, "most": 150},
    ]
}


def test_a_person_is_asked_and_answers_in_the_unit_they_chose(
    client: Client, checked: Engine, mechanic: Person, auditor: Person
) -> None:
    revision = checked.engine_type.revisions.get()
    revision.document["checks"] = WARM
    revision.save(update_fields=["document"])
    units_choose(person=mechanic, chosen={"": "degF"})
    address = reverse("check_add", args=[checked.pk])
    page = words(signed_in(client, mechanic).get(address))
    # 150 °C is 302 °F, a reading; 20 °C of difference are 36 °F, where a public manual prints 68.
    assert "The type asks for no more than 302 °F, within 36 °F of “Air”." in page
    sent = {"temperatures": "degF", "answer0": "59", "answer1": "95"}
    client.post(address, sent)
    kept = StartCheck.objects.get()
    assert [(one["value"], one["unit"]) for one in kept.answers] == [(59, "degF"), (95, "degF")]
    assert kept.answers[1]["said"] == "95 °F" and kept.wrong == []
    refused = client.post(address, sent | {"answer1": "96"})
    assert refused.status_code == 422
    assert "Gas temperature: 96 °F; the type asks for no more than 302 °F, within 36 °F" in words(refused)
    assert "59 °F" in pdf_words(client.get(reverse("check_print", args=[kept.pk])))
    units_choose(person=auditor, chosen={"": "degC"})
    assert "95 °F (35 °C)" in words(signed_in(client, auditor).get(reverse("check_detail", args=[kept.pk])))


def test_a_sheet_opened_before_another_unit_was_chosen_is_read_as_it_asked(
    client: Client, checked: Engine, mechanic: Person
) -> None:
    revision = checked.engine_type.revisions.get()
    revision.document["checks"] = WARM
    revision.save(update_fields=["document"])
    units_choose(person=mechanic, chosen={"": "degF"})
    sent = {"temperatures": "", "answer0": "15", "answer1": "30"}
    signed_in(client, mechanic).post(reverse("check_add", args=[checked.pk]), sent)
    assert [one["said"] for one in StartCheck.objects.get().answers] == ["15 °C", "30 °C"]
