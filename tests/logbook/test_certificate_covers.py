"""What a certificate covers is entered by the director, from a list, and shown in words."""

import pytest
from django.test import Client

from engines.errors import DomainError
from logbook.models import Certificate, Person
from logbook.people import certificate_add
from logbook.statements.coverage import AUTHORIZATION, POWERPLANT

FACTS = {"kind": "Mechanic", "number": "T-7", "ratings": "Airframe and powerplant"}


def test_what_it_covers_is_chosen_and_shown(client: Client, director: Person, mechanic: Person) -> None:
    client.force_login(director)
    address = f"/people/{mechanic.pk}/certificates/"
    assert client.get(address).content.count(b'name="covers"') == 15
    sent = {**FACTS, "covers": [POWERPLANT, AUTHORIZATION]}
    assert client.post(address, sent).status_code == 302
    made = mechanic.certificates.latest("pk")
    assert made.covers == [AUTHORIZATION, POWERPLANT]
    page = client.get(f"/people/{mechanic.pk}/").content.decode()
    assert "Mechanic, powerplant rating; Inspection authorization" in page
    assert "nothing is entered, so no work can be signed under it" in page


def test_a_changed_certificate_begins_with_what_the_old_one_covered(
    client: Client, director: Person, mechanic: Person
) -> None:
    old = certificate_add(person=mechanic, facts={**FACTS, "covers": [POWERPLANT]}, by=director)
    client.force_login(director)
    page = client.get(f"/people/{mechanic.pk}/certificates/?replaces={old.pk}").content.decode()
    assert page.count("checked") == 1


def test_what_there_is_not_is_refused(director: Person, mechanic: Person) -> None:
    with pytest.raises(DomainError, match="can't cover flying") as refused:
        certificate_add(person=mechanic, facts={**FACTS, "covers": ["flying"]}, by=director)
    assert refused.value.code == "cover_unknown"
    assert Certificate.objects.filter(number="T-7").count() == 0
