"""What rules ask of required inspections and of releases, each by its number: 14 CFR 135.427(b), 145.A.50, M.A.305."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engines.errors import DomainError
from engines.models import Engine
from inspections.actions import action_add, finding_add, inspection_begin, step_answer
from inspections.models import Finding, Inspection
from inspections.queries import condition_of
from logbook.actions import inspection_sign
from logbook.models import Entry, Person
from logbook.second_look import second_look
from tests.factories import CertificateFactory, PersonFactory
from tests.logbook.screen_kit import HTMX, inspection_opened, signed_in, words
from tests.signed import signing_of


@pytest.fixture
def item(engine: Engine, mechanic: Person) -> Inspection:
    """Return what the limits name as a required inspection item, with its work done."""
    inspection = inspection_begin(inspection=inspection_opened(engine, mechanic), by=mechanic)
    for step in inspection.steps.all():
        step_answer(step=step, answer="done", reason="", by=mechanic)
    return inspection


@pytest.fixture
def other(inspector: Person) -> Person:
    """Return another inspector of the same operator."""
    return PersonFactory.create(operator=inspector.operator, role="inspector")


def ended(inspection: Inspection, by: Person, outcome: str) -> Entry:
    """Sign how an inspection ends."""
    today = timezone.localdate()
    given = {"given_to": "Test owner"} if outcome == "not_approved" else {}
    how: dict[str, Any] = {"outcome": outcome, "extent": "Looked at all of it", "completed_on": today, **given}
    return inspection_sign(inspection=inspection, by=by, signing=signing_of(by), **how)


def rejected(inspection: Inspection, by: Person) -> Finding:
    """Have an inspector find something and not approve the item."""
    CertificateFactory.create(person=by)
    finding = finding_add(inspection=inspection, text="Blade tip rubbed", by=by)
    ended(inspection, by, "not_approved")
    inspection.refresh_from_db()
    return finding


def test_r_135_427_b_a_rejection_is_kept_and_leads_to_a_second_entry_after_reinspection(
    item: Inspection, mechanic: Person, inspector: Person, other: Person
) -> None:
    finding = rejected(item, inspector)
    assert not condition_of(item.engine).is_serviceable
    action_add(
        inspection=item,
        finding=finding,
        description="Blade set changed",
        data_reference="Invented manual 72-50, revision 9",
        completed_on=timezone.localdate(),
        by=mechanic,
    )
    with pytest.raises(DomainError) as refused:
        ended(item, mechanic, "approved")
    assert set(refused.value.fields) == {"second"}
    second_look(inspection=item, by=other)
    ended(item, mechanic, "approved")
    first, second = Entry.objects.filter(inspection=item).order_by("number")
    assert (first.body["release"]["outcome"], first.signed_by) == ("not_approved", inspector)
    assert first.body["findings"][0]["text"] == "Blade tip rubbed"
    assert (second.body["release"]["outcome"], second.body["release"]["second_name"]) == ("approved", str(other))


def test_r_135_427_b_nobody_else_overrules_an_inspector(
    client: Client, item: Inspection, mechanic: Person, inspector: Person, other: Person
) -> None:
    rejected(item, inspector)
    inspection_begin(inspection=item, by=mechanic)
    address = reverse("inspection_second", args=[item.pk])
    assert signed_in(client, mechanic).post(address).status_code == 403
    refused = signed_in(client, other).post(address, headers=HTMX)
    assert refused.status_code == 422
    assert f"only {inspector} or the director of maintenance may look again" in words(refused)
    answer = client.post(reverse("api:inspection-second", args=[item.pk]))
    assert (answer.status_code, answer.json()["code"]) == (422, "refusal_stands")
    item.refresh_from_db()
    assert item.second_by is None


@pytest.mark.parametrize("role", ["inspector", "director"])
def test_r_135_427_b_who_refused_looks_again_or_the_head_over_both_functions(
    item: Inspection, mechanic: Person, inspector: Person, director: Person, role: str
) -> None:
    rejected(item, inspector)
    inspection_begin(inspection=item, by=mechanic)
    by = {"inspector": inspector, "director": director}[role]
    assert second_look(inspection=item, by=by).second_by == by


def test_r_135_427_b_what_a_mechanic_did_not_approve_is_no_decision_of_an_inspector(
    item: Inspection, mechanic: Person, other: Person
) -> None:
    rejected(item, mechanic)
    inspection_begin(inspection=item, by=mechanic)
    assert second_look(inspection=item, by=other).second_by == other
