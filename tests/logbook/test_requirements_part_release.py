"""What rules ask of the release of a part before it is fitted: R-Form1 (145.A.50(d)), by its number."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engines.actions import LimitFacts, limit_add, part_fit
from engines.actions.part_corrections import line_correct
from engines.actions.parts import Fitting
from engines.errors import DomainError
from engines.models import Component, Engine, PartMovement
from engines.part_queries import fitted_at
from logbook.models import Entry, Person
from tests.factories import STARTED_AT, ComponentFactory
from tests.logbook.screen_kit import act, signed_in, words

CERTIFICATE = "Form 1 (invented) number 4711 of 2026-03-02, Testholm Repair"


@pytest.fixture
def nozzle(engine: Engine) -> Component:
    """Return a part that lies ready."""
    return ComponentFactory.create(operator=engine.operator, part_number="N-1", serial="3")


@pytest.fixture
def spent(engine: Engine, mechanic: Person) -> Component:
    """Return a part that has used its life of 100 cycles."""
    part = ComponentFactory.create(operator=engine.operator, part_number="D-1", serial="7", brought_cycles=100)
    facts = LimitFacts(amount=100, unit="count", source="Invented chapter 5", source_revision="3")
    told = {"operator": engine.operator, "part_number": "D-1", "kind": "life", "parameter": "cycles"}
    limit_add(**told, facts=facts, by=mechanic)
    return part


def test_r_form1_the_certificate_is_named_when_a_part_is_fitted_and_signed_with_it(
    client: Client, engine: Engine, nozzle: Component, mechanic: Person
) -> None:
    signed_in(client, mechanic)
    sheet = words(client.get(reverse("part_fit", args=[nozzle.pk])))
    assert "Authorised release certificate" in sheet
    said = {"host": f"engine:{engine.pk}", "position": "nozzle", "at": "2026-05-04 09:00"}
    assert act(client, "part_fit", [nozzle.pk], **said, release_certificate=CERTIFICATE).status_code == 302
    line = fitted_at(nozzle)
    assert line is not None
    assert line.release_certificate == CERTIFICATE
    entry = Entry.objects.get(kind=Entry.Kind.PART_FITTED)
    assert f"Released on certificate {CERTIFICATE}" in words(client.get(reverse("entry_detail", args=[entry.number])))
    assert f"released on {CERTIFICATE}" in words(client.get(reverse("part_detail", args=[nozzle.pk])))
    told = client.get(reverse("api:component-detail", args=[nozzle.pk])).json()
    assert told["movements"][0]["release_certificate"] == CERTIFICATE


def test_r_form1_a_wrong_certificate_is_put_right_and_both_stay(
    engine: Engine, nozzle: Component, mechanic: Person
) -> None:
    how: dict[str, Any] = {"at": STARTED_AT, "engine": engine, "position": "nozzle"}
    line = part_fit(component=nozzle, by=mechanic, release_certificate="4712", **how)
    newer = line_correct(line=line, stated=Fitting(release_certificate=CERTIFICATE, **how), why="Misread", by=mechanic)
    assert newer.release_certificate == CERTIFICATE
    assert PartMovement.objects.get(pk=line.pk).release_certificate == "4712"


def test_r_form1_no_certificate_releases_a_part_that_has_used_its_life(
    client: Client, engine: Engine, spent: Component, mechanic: Person
) -> None:
    signed_in(client, mechanic)
    said = {"host": f"engine:{engine.pk}", "at": "2026-05-04 09:00", "release_certificate": CERTIFICATE}
    refused = act(client, "part_fit", [spent.pk], **said)
    assert refused.status_code == 422
    assert "D-1 7 has reached its life limit by Invented chapter 5" in words(refused)
    assert not PartMovement.objects.exists()


def test_r_form1_nor_does_one_that_is_named_by_a_correction(engine: Engine, spent: Component, mechanic: Person) -> None:
    line = part_fit(component=spent, at=STARTED_AT, engine=engine, by=mechanic)
    stated = Fitting(STARTED_AT, engine, release_certificate=CERTIFICATE)
    with pytest.raises(DomainError) as refused:
        line_correct(line=line, stated=stated, why="Forgotten", by=mechanic)
    assert (refused.value.code, set(refused.value.fields)) == ("certificate_refused", {"release_certificate"})


def test_r_form1_a_program_names_it_too(client: Client, engine: Engine, nozzle: Component, mechanic: Person) -> None:
    body = {"engine": engine.pk, "at": STARTED_AT.isoformat(), "release_certificate": CERTIFICATE}
    address = reverse("api:component-fit", args=[nozzle.pk])
    sent = signed_in(client, mechanic).post(address, body, content_type="application/json")
    assert sent.status_code < 300, sent.content
    draft = nozzle.operator.part_drafts.get()
    assert CERTIFICATE in words(client.get(reverse("part_draft", args=[draft.pk])))
