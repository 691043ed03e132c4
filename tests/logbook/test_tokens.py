import datetime

import pytest
import time_machine
from django.core.exceptions import ValidationError

from engines.errors import DomainError
from logbook.access import ACTS, READ, SCOPES
from logbook.models import ApiToken, Person
from logbook.tokens import token_digest, token_issue, token_known, token_list, token_revoke, token_used

MOMENT = datetime.datetime(2026, 5, 4, 8, 0, tzinfo=datetime.UTC)


def test_a_token_stands_for_its_person_and_is_kept_only_as_a_digest(mechanic: Person) -> None:
    row, token = token_issue(person=mechanic, label="test stand")
    known = token_known(token)
    assert known == row
    assert known.person == mechanic
    assert token not in str(ApiToken.objects.values())
    assert row.digest == token_digest(token)


def test_no_two_tokens_are_alike(mechanic: Person) -> None:
    assert token_issue(person=mechanic, label="a")[1] != token_issue(person=mechanic, label="b")[1]


@pytest.mark.parametrize(
    ("label", "scope", "about"), [("", READ, "label"), ("x" * 81, READ, "label"), ("a", "x", "scope")]
)
def test_what_does_not_do_is_refused(label: str, scope: str, about: str, mechanic: Person) -> None:
    with pytest.raises(ValidationError, match=about):
        token_issue(person=mechanic, label=label, scope=scope)
    assert not ApiToken.objects.exists()


def test_a_name_is_used_again_only_once_its_token_is_revoked(mechanic: Person, inspector: Person) -> None:
    row, _ = token_issue(person=mechanic, label="test stand")
    with pytest.raises(DomainError, match="You have a token called “test stand” already") as refused:
        token_issue(person=mechanic, label="test stand")
    assert (refused.value.code, set(refused.value.fields)) == ("label_taken", {"label"})
    other, _ = token_issue(person=inspector, label="test stand")
    token_revoke(token=row)
    again, _ = token_issue(person=mechanic, label="test stand")
    assert list(token_list(mechanic)) == [again, row]
    assert list(token_list(inspector)) == [other]


def test_a_revoked_token_is_not_known_and_keeps_its_first_time(mechanic: Person) -> None:
    row, token = token_issue(person=mechanic, label="test stand")
    with time_machine.travel("2026-05-04T08:00:00Z", tick=False):
        first = token_revoke(token=row).revoked_at
    with time_machine.travel("2026-05-05T08:00:00Z", tick=False):
        assert token_revoke(token=row).revoked_at == first
    assert token_known(token) is None


@pytest.mark.django_db
def test_a_made_up_token_is_not_known() -> None:
    assert token_known("of nobody") is None


def test_use_is_noted_once_a_minute(mechanic: Person) -> None:
    row, _ = token_issue(person=mechanic, label="test stand")
    assert row.last_used_at is None
    noted: list[datetime.datetime | None] = []
    for seconds in (0, 59, 60):
        with time_machine.travel(MOMENT + datetime.timedelta(seconds=seconds), tick=False):
            token_used(token=row)
        row.refresh_from_db()
        noted.append(row.last_used_at)
    assert noted == [MOMENT, MOMENT, MOMENT + datetime.timedelta(minutes=1)]


@pytest.mark.parametrize(
    ("scope", "allowed"),
    [("read", {"read", "print"}), ("record", {"read", "print", "run.record", "photo.add"}), ("all", set(ACTS))],
)
def test_a_scope_allows_what_the_table_says(scope: str, allowed: set[str]) -> None:
    assert {act for act in ACTS if ApiToken(scope=scope).may(act)} == allowed
    assert set(ApiToken.Scope.values) == set(SCOPES)
