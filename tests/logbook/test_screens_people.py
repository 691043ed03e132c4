"""People: certificates that are replaced and stay, accounts that are closed, and who may inspect what."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from logbook.models import Authorization, Certificate, Person
from logbook.phrases import validity_words
from logbook.queries import certificates_valid
from logbook.tokens import token_issue, token_known
from tests.logbook.printing.reading import text_of
from tests.logbook.screen_kit import signed_in, words

TODAY = date(2026, 5, 4)


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        (None, None, "valid, no end"),
        (date(2026, 5, 5), None, "begins 2026-05-05"),
        (TODAY, TODAY, "valid to 2026-05-04, 0 days left"),
        (None, date(2026, 5, 5), "valid to 2026-05-05, 1 day left"),
        (date(2020, 1, 1), date(2026, 5, 3), "ended 2026-05-03"),
    ],
)
def test_validity_is_said_as_it_stands(first: date | None, last: date | None, said: str) -> None:
    assert validity_words(first, last, TODAY) == said


@pytest.fixture
def keeper(client: Client, director: Person) -> Client:
    """Return the client with the director signed in."""
    return signed_in(client, director)


def sheet(**changes: str) -> dict[str, str]:
    """Return a sheet of a certificate."""
    return {"kind": "Mechanic", "number": "T-9", "ratings": "powerplant", "valid_until": "2999-12-31"} | changes


def entered(client: Client, person: Person, query: str = "", **changes: str) -> Any:
    """Send a certificate of a person."""
    address = reverse("certificate_add", args=[person.pk])
    return client.post(f"{address}{query}", sheet(**changes), follow=True)


def test_a_certificate_is_entered(keeper: Client, mechanic: Person, director: Person) -> None:
    page = words(entered(keeper, mechanic))
    assert "Mechanic T-9 is entered." in page
    covers = "nothing is entered, so no work can be signed under it"
    assert f"Mechanic T-9 Ratings powerplant Covers {covers} Validity valid to 2999-12-31" in page
    row = mechanic.certificates.get(number="T-9")
    assert (row.added_by, row.replaces) == (director, None)
    assert "Mechanic T-9, powerplant: valid to 2999-12-31" in words(keeper.get(reverse("person_list")))


def test_a_changed_certificate_is_a_new_row_and_the_old_one_stays(keeper: Client, mechanic: Person) -> None:
    old = mechanic.certificates.get()
    address = reverse("certificate_add", args=[mechanic.pk])
    assert f'value="{old.number}"' in keeper.get(f"{address}?replaces={old.pk}").content.decode()
    page = words(entered(keeper, mechanic, f"?replaces={old.pk}", number=old.number))
    new = mechanic.certificates.get(replaces=old)
    assert "Replaced certificates (1)" in page
    assert Certificate.objects.get(pk=old.pk).ratings == ""
    assert list(certificates_valid(mechanic, timezone.localdate())) == [new]
    again = entered(keeper, mechanic, f"?replaces={old.pk}")
    assert (again.status_code, mechanic.certificates.count()) == (422, 2)
    assert "was replaced before" in words(again)


def test_only_the_persons_own_certificate_is_replaced(keeper: Client, mechanic: Person, inspector: Person) -> None:
    for asked in (str(inspector.certificates.get().pk), "x", "9" * 30):
        assert entered(keeper, mechanic, f"?replaces={asked}").status_code == 404
    assert mechanic.certificates.count() == 1


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"kind": " "}, "Say what kind of certificate it is."),
        ({"number": ""}, "Give its number."),
        ({"valid_from": "2026-02-01", "valid_until": "2026-01-31"}, "It can't end before it begins."),
        ({"valid_until": "soon"}, "Enter a valid date."),
    ],
)
def test_a_certificate_that_cannot_be_is_refused(
    changes: dict[str, str], says: str, keeper: Client, mechanic: Person
) -> None:
    refused = entered(keeper, mechanic, **changes)
    assert (refused.status_code, mechanic.certificates.count()) == (422, 1)
    assert says in words(refused)


def listed(client: Client, person: Person, query: str = "", **changes: Any) -> Any:
    """Put a person on the list of who may inspect what."""
    line = {
        "person": person.pk,
        "title": "Lead inspector",
        "inspections": "Hot section inspection",
        "begins_on": str(timezone.localdate()),
    }
    return client.post(f"{reverse('authorization_add')}{query}", line | changes, follow=True)


def test_an_account_is_closed_and_what_was_done_stays(
    keeper: Client, inspector: Person, director: Person, client: Client
) -> None:
    row, token = token_issue(person=inspector, label="tool")
    listed(keeper, inspector)
    other = signed_in(Client(), inspector)
    assert other.get(reverse("engine_list")).status_code == 200
    page = words(keeper.post(reverse("person_deactivate", args=[inspector.pk]), follow=True))
    assert "can no longer sign in" in page
    assert other.get(reverse("engine_list")).status_code == 302
    assert token_known(token) is None
    line = Authorization.objects.get()
    assert (line.ended_on, line.ended_by) == (timezone.localdate(), director)
    assert "Closed" in words(keeper.get(reverse("person_list")))
    refused = listed(keeper, inspector)
    assert refused.status_code == 422
    keeper.post(reverse("person_restore", args=[inspector.pk]))
    assert Person.objects.get(pk=inspector.pk).is_active
    assert token_known(token) is None


def test_nobody_closes_their_own_account_or_the_last_directors(keeper: Client, director: Person) -> None:
    refused = keeper.post(reverse("person_deactivate", args=[director.pk]))
    assert "You can't close your own account" in words(refused)
    assert "Close the account" not in words(keeper.get(reverse("person_detail", args=[director.pk])))
    assert Person.objects.get(pk=director.pk).is_active


def test_the_list_has_name_title_and_inspections(keeper: Client, inspector: Person, director: Person) -> None:
    page = words(listed(keeper, inspector))
    assert f"{inspector} Lead inspector Hot section inspection" in page
    assert f"listed by {director}" in page
    assert "Hot section inspection (Lead inspector), from" in words(
        keeper.get(reverse("person_detail", args=[inspector.pk]))
    )
    assert "Hot section inspection Open" in words(keeper.get(reverse("person_list")))


def test_a_changed_line_ends_the_one_before_it(keeper: Client, inspector: Person, mechanic: Person) -> None:
    listed(keeper, inspector, begins_on="2026-01-05")
    first = Authorization.objects.get()
    refused = listed(keeper, mechanic, f"?ends={first.pk}")
    assert refused.status_code == 422
    page = words(
        listed(keeper, inspector, f"?ends={first.pk}", inspections="Borescope inspection", begins_on="2026-02-01")
    )
    first.refresh_from_db()
    assert first.ended_on == date(2026, 2, 1)
    assert "Ended lines" in page
    assert "Hot section inspection. From 2026-01-05 to 2026-02-01, ended by" in page
    assert listed(keeper, inspector, f"?ends={first.pk}").status_code == 422


def test_a_line_is_ended_once(keeper: Client, inspector: Person) -> None:
    listed(keeper, inspector)
    line = Authorization.objects.get()
    assert "is no longer on the list" in words(keeper.post(reverse("authorization_end", args=[line.pk]), follow=True))
    refused = keeper.post(reverse("authorization_end", args=[line.pk]))
    assert (refused.status_code, "This line ended on" in words(refused)) == (422, True)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_list_prints_as_it_stands_today(paper: str, keeper: Client, inspector: Person, mechanic: Person) -> None:
    listed(keeper, inspector)
    listed(keeper, mechanic, begins_on=str(timezone.localdate() + timedelta(days=1)), title="Not yet")
    response = keeper.get(reverse("authorization_print"), {"paper": paper})
    assert response["Content-Type"] == "application/pdf"
    text = text_of(response.content)
    assert "14 CFR 135.429(e)" in text
    assert "Lead inspector" in text
    assert "Not yet" not in text


def test_an_empty_list_prints_so(keeper: Client) -> None:
    assert "Nobody is listed." in text_of(keeper.get(reverse("authorization_print")).content)


def test_another_operators_people_are_not_there(
    client: Client, keeper: Client, inspector: Person, mechanic: Person, stranger: Person
) -> None:
    listed(keeper, inspector)
    line = Authorization.objects.get()
    signed_in(client, stranger)
    assert str(inspector) not in words(client.get(reverse("person_list")))
    assert "Nobody is on the list." in words(client.get(reverse("authorization_list")))
    assert client.get(reverse("person_detail", args=[inspector.pk])).status_code == 404
    assert client.post(reverse("person_deactivate", args=[inspector.pk])).status_code == 404
    assert client.post(reverse("authorization_end", args=[line.pk])).status_code == 404
    assert client.get(f"{reverse('authorization_add')}?ends={line.pk}").status_code == 404
    assert listed(client, mechanic).status_code == 422
    assert Authorization.objects.count() == 1


def test_people_cost_few_queries(keeper: Client, inspector: Person, django_assert_max_num_queries: Any) -> None:
    listed(keeper, inspector)
    for name, keys in (("person_list", []), ("person_detail", [inspector.pk]), ("authorization_list", [])):
        with django_assert_max_num_queries(10):
            keeper.get(reverse(name, args=keys))
