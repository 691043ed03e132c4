"""The table of access as a table: what it opens, to whom, and that it means nothing that is not there."""

import pytest

from logbook.access import ACTS, ADMIN, DOORS, EVERYONE, OPEN, SCOPES, STAFF_ACT, act_of, door_of, may
from logbook.roles import Role
from tests.factories import PersonFactory

MECHANICS_RECORD = {"run.record", "part.move", "photo.add"}
MECHANICS_WORK = {"inspection.work", "inspection.note", "inspection.close", "task.record", "work.do"}


@pytest.mark.parametrize(
    ("name", "method", "act"),
    [
        ("engine_list", "GET", "read"),
        ("engine_list", "HEAD", "read"),
        ("engine_list", "POST", None),
        ("run_record", "POST", "run.record"),
        ("inspection_begin", "GET", None),
        ("sign_in", "POST", OPEN),
        ("api:engine-list", "GET", "read"),
        ("api:engine-list", "POST", "engine.add"),
        ("api:engine-list", "DELETE", None),
        ("admin:index", "GET", STAFF_ACT),
        ("admin:logbook_person_change", "POST", STAFF_ACT),
        ("administration", "GET", None),
        ("unheard_of", "GET", None),
        ("", "GET", None),
    ],
)
def test_a_request_is_an_act(name: str, method: str, act: str | None) -> None:
    assert act_of(name, method) == act


def test_a_door_that_is_not_named_is_none() -> None:
    assert door_of("unheard_of") is None
    assert door_of("admin:index") == door_of(ADMIN)


def test_every_door_opens_to_known_acts_by_known_methods() -> None:
    assert {act for door in DOORS.values() for act in door.values()} <= {*ACTS, OPEN}
    assert {method for door in DOORS.values() for method in door} == {"GET", "POST", "PUT"}
    assert all(DOORS.values())


def test_roles_and_scopes_are_those_that_people_and_tokens_have() -> None:
    assert set(Role.values) == EVERYONE
    assert all(roles <= EVERYONE for roles in ACTS.values())
    assert all(acts <= set(ACTS) for acts in SCOPES.values())


@pytest.mark.parametrize(
    ("role", "acts"),
    [
        ("auditor", {"read", "print", "account", "view.keep"}),
        (
            "mechanic",
            {"read", "print", "account", "view.keep", "run.record", "part.move", "photo.add", *MECHANICS_WORK},
        ),
    ],
)
def test_a_role_may_do_this_and_no_more(role: str, acts: set[str]) -> None:
    assert {act for act in ACTS if may(role, act)} == acts


def test_an_act_that_the_table_does_not_know_is_a_fault_of_the_program() -> None:
    with pytest.raises(KeyError):
        may("director", "fly")


@pytest.mark.django_db
def test_whoever_has_no_operator_may_do_nothing() -> None:
    nobody = PersonFactory.create(operator=None, role="director", is_superuser=True, is_staff=True)
    assert [act for act in ACTS if nobody.may(act)] == []
