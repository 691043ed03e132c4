import pytest
import time_machine
from django.core.exceptions import ValidationError

from logbook.models import ApiToken, Person
from logbook.tokens import token_digest, token_issue, token_person, token_revoke


def test_a_token_stands_for_its_person_and_is_kept_only_as_a_digest(mechanic: Person) -> None:
    row, token = token_issue(person=mechanic, label="test stand")
    assert token_person(token) == mechanic
    assert token not in str(ApiToken.objects.values())
    assert row.digest == token_digest(token)


def test_no_two_tokens_are_alike(mechanic: Person) -> None:
    assert token_issue(person=mechanic, label="a")[1] != token_issue(person=mechanic, label="a")[1]


@pytest.mark.parametrize("label", ["", "x" * 81])
def test_a_label_that_does_not_do_is_refused(label: str, mechanic: Person) -> None:
    with pytest.raises(ValidationError, match="label"):
        token_issue(person=mechanic, label=label)
    assert not ApiToken.objects.exists()


def test_a_revoked_token_stands_for_nobody_and_keeps_its_first_time(mechanic: Person) -> None:
    row, token = token_issue(person=mechanic, label="test stand")
    with time_machine.travel("2026-05-04T08:00:00Z", tick=False):
        first = token_revoke(token=row).revoked_at
    with time_machine.travel("2026-05-05T08:00:00Z", tick=False):
        assert token_revoke(token=row).revoked_at == first
    assert token_person(token) is None


@pytest.mark.django_db
def test_an_unknown_token_stands_for_nobody() -> None:
    assert token_person("of nobody") is None
