"""The second look: by whom the list of who may inspect what lets, where an operator keeps one."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from engines.errors import DomainError
from engines.models import Engine
from inspections.actions import finding_add, inspection_begin
from inspections.models import Inspection
from logbook.actions import inspection_sign
from logbook.models import Authorization, Person
from logbook.people import Line, authorization_add, authorization_end, person_deactivate
from logbook.second_look import lookers, second_look
from tests.factories import EngineTypeFactory, PersonFactory
from tests.logbook.screen_kit import HTMX, inspection_opened, signed_in, words
from tests.signed import signing_of
from tests.walk import queries_in

LOOKED = "Second look Looked at by"


@pytest.fixture
def item(engine: Engine, mechanic: Person) -> Inspection:
    """Return a required inspection item in work."""
    return inspection_begin(inspection=inspection_opened(engine, mechanic), by=mechanic)


def line_of(person: Person, by: Person, *, begins_in: int = 0, **limited: Any) -> Authorization:
    """Write a line that begins some days from today."""
    begins = timezone.localdate() + timedelta(days=begins_in)
    return authorization_add(person=person, line=Line("Inspector", "As listed", begins, **limited), by=by)


def test_where_no_list_is_kept_it_is_asked_of_nobody(item: Inspection, inspector: Person) -> None:
    assert lookers(item) is None
    assert second_look(inspection=item, by=inspector).second_by_id == inspector.pk


@pytest.mark.parametrize(
    ("of_type", "limited", "is_let"),
    [
        (None, {}, True),
        (True, {}, True),
        (False, {}, False),
        (None, {"only": "Hot section inspection"}, True),
        (None, {"only": "Torque inspection"}, False),
        (True, {"only": "Hot section inspection"}, True),
        (False, {"only": "Hot section inspection"}, False),
        (None, {"begins_in": -30}, True),
        (None, {"begins_in": 1}, False),
    ],
)
def test_a_line_lets_inspect_what_it_covers_from_its_day(
    of_type: bool | None, limited: dict[str, Any], is_let: bool, item: Inspection, inspector: Person
) -> None:
    director = PersonFactory.create(operator=item.operator, role="director")
    other = EngineTypeFactory.create(operator=item.operator)
    engine_type = {None: None, True: item.engine.engine_type, False: other}[of_type]
    line_of(inspector, director, engine_type=engine_type, **limited)
    assert lookers(item) == ([str(inspector)] if is_let else [])
    if is_let:
        assert second_look(inspection=item, by=inspector).second_by_id == inspector.pk
    else:
        with pytest.raises(DomainError, match="It lets nobody") as refused:
            second_look(inspection=item, by=inspector)
        assert refused.value.code == "not_on_list"


def test_a_line_lets_nobody_inspect_on_the_day_on_which_it_ends(
    item: Inspection, inspector: Person, director: Person
) -> None:
    line = line_of(inspector, director, begins_in=-2)
    authorization_end(line=line, on=timezone.localdate() + timedelta(days=1), by=director)
    assert lookers(item) == [str(inspector)]
    Authorization.objects.update(ended_on=timezone.localdate())
    with pytest.raises(DomainError, match="no line of today"):
        second_look(inspection=item, by=inspector)


def test_a_line_of_a_closed_account_or_of_who_may_not_look_lets_nobody(
    item: Inspection, inspector: Person, mechanic: Person, director: Person
) -> None:
    line_of(mechanic, director)
    line_of(inspector, director)
    assert lookers(item) == [str(inspector)]
    person_deactivate(person=inspector, by=director)
    assert lookers(item) == []


def test_the_list_of_another_operator_is_not_asked(item: Inspection, inspector: Person, stranger: Person) -> None:
    line_of(PersonFactory.create(operator=stranger.operator), stranger)
    assert lookers(item) is None


def test_a_line_names_no_type_of_another_operator(inspector: Person, director: Person) -> None:
    with pytest.raises(DomainError, match="no type of this operator"):
        line_of(inspector, director, engine_type=EngineTypeFactory.create())


def test_what_needs_no_second_look_is_not_asked_of_the_list(
    item: Inspection, inspector: Person, director: Person
) -> None:
    line_of(director, director)
    Inspection.objects.update(required_inspection_item=False)
    item.refresh_from_db()
    with pytest.raises(DomainError) as refused:
        second_look(inspection=item, by=inspector)
    assert refused.value.code == "not_required"


def test_the_page_says_beforehand_who_may_look(
    client: Client, item: Inspection, inspector: Person, director: Person
) -> None:
    page = reverse("inspection_detail", args=[item.pk])
    assert "list of who may inspect what" not in words(signed_in(client, inspector).get(page))
    line = line_of(director, director, only="Torque inspection")
    assert "may take this look today. The director of maintenance keeps the list." in words(client.get(page))
    line_of(director, director)
    assert f"today that may be: {director}." in words(client.get(page))
    refused = client.post(reverse("inspection_second", args=[item.pk]), headers=HTMX)
    assert refused.status_code == 422
    assert f"lets {inspector} inspect “{item.summary}”" in words(refused)
    assert f"It lets {director}. The director of maintenance keeps the list." in words(refused)
    authorization_end(line=line, on=line.begins_on, by=director)
    line_of(inspector, director)
    client.post(reverse("inspection_second", args=[item.pk]))
    shown = words(client.get(page))
    assert f"{LOOKED} {inspector}" in shown
    assert "today that may be" not in shown


def test_by_rest_the_list_is_asked_too(client: Client, item: Inspection, inspector: Person, director: Person) -> None:
    line_of(director, director)
    answer = signed_in(client, inspector).post(reverse("api:inspection-second", args=[item.pk]))
    assert (answer.status_code, answer.json()["code"]) == (422, "not_on_list")
    answer = signed_in(client, director).post(reverse("api:inspection-second", args=[item.pk]))
    assert (answer.status_code, answer.json()["second_by"]) == (200, str(director))


def test_the_sheet_offers_the_items_of_the_limits_in_force(
    client: Client, item: Inspection, inspector: Person, director: Person
) -> None:
    address = reverse("authorization_add")
    sheet = signed_in(client, director).get(address).content.decode()
    assert '<option value="Hot section inspection">' in sheet
    assert "Find and correct the cause" not in sheet
    kind = item.engine.engine_type
    said = {"person": inspector.pk, "title": "Lead", "inspections": "Hot section", "begins_on": "2026-01-01"}
    sent = client.post(address, said | {"engine_type": kind.pk, "only": "Hot section inspection"}, follow=True)
    assert f"Hot section (only “Hot section inspection”, on {kind})" in words(sent)
    line = Authorization.objects.get()
    assert (line.engine_type, line.only) == (kind, "Hot section inspection")
    again = client.get(f"{address}?ends={line.pk}").content.decode()
    assert '<option value="Hot section inspection" selected>' in again
    assert f'<option value="{kind.pk}" selected>' in again


def test_work_taken_up_again_after_it_was_not_approved_costs_ten_queries(
    client: Client, item: Inspection, inspector: Person, director: Person
) -> None:
    line_of(inspector, director)
    finding_add(inspection=item, text="Crack", by=inspector)
    closing = {"outcome": "not_approved", "extent": "Borescope", "completed_on": timezone.localdate()}
    signing = signing_of(inspector)
    inspection_sign(inspection=item, by=inspector, signing=signing, given_to="The owner", **closing)
    inspection_begin(inspection=Inspection.objects.get(pk=item.pk), by=inspector)
    signed_in(client, inspector)
    address = reverse("inspection_detail", args=[item.pk])
    client.get(address)  # what a process asks of its database once is no cost of the page
    with CaptureQueriesContext(connection) as asked:
        page = words(client.get(address))
    assert queries_in(asked) <= 10
    assert f"today that may be: {inspector}" in page
    assert "Not approved for return to service" in page
