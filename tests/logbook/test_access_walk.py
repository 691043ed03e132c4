"""Every address and method, with every role, with nobody, and with the director of another operator."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any
from uuid import UUID

import pytest
from allauth.mfa.adapter import get_adapter
from allauth.mfa.models import Authenticator
from allauth.mfa.recovery_codes.internal.auth import RecoveryCodes
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engines.actions import LimitFacts, limit_add, part_fit, task_add
from engines.models import Component, Engine, TypeRevision
from inspections.models import Handover, Inspection
from logbook.access import ACTS, ADMIN, DOORS, OPEN, STAFF_ACT, act_of, door_of
from logbook.actions import trace_enter
from logbook.maintenance.actions import work_open
from logbook.models import Authorization, Concern, Entry, PackageJob, Person, PrintJob, Rules, SavedView
from logbook.print_sets import Choice
from logbook.tokens import token_issue
from tests.documents import type_document
from tests.factories import ComponentFactory, PersonFactory, TypeRevisionFactory
from tests.logbook.doors import FORMS, METHODS, REST, Address, addresses, ask, body_of, filled
from tests.logbook.photos.kit import photo_of
from tests.logbook.screen_kit import inspection_opened, recording_file
from tests.stage_checks import checks_set
from tests.stage_first_starts import first_starts_set
from tests.stage_packages import documents_came, handed_over, package_received, part_gone
from tests.stage_parts import draft_waiting

# A walk over every address: what it passes, the tests of its own must cover.
pytestmark = [pytest.mark.no_cover, pytest.mark.one_database]

Objects = dict[str, dict[str, Any]]
ALL = addresses()
CAST = ("mechanic", "inspector", "director", "auditor", "staff")
# What a person has for themselves: that anybody else's is not found is held by the tests of those screens.
OWN_PARTS = ("my-access/", "packing/", "prints/", "views/")
# What is asked for by a secret that nobody has.
SECRETS: Objects = {"calendar/": {"secret": "x"}, "mails/": {"key": "x"}}
OWNED_BY_NOBODY: Objects = {
    "my-access/": {"pk": 1},
    "packing/": {"pk": UUID(int=1)},
    "prints/": {"pk": UUID(int=1)},
    "views/": {"pk": UUID(int=1)},
}
BEGUN = {"begins_on": date(2026, 1, 1)}
DIRECTIVE = {"name": "Disc", "kind": "other", "mandatory": False, "repeat": {"days": 30}}


def test_every_address_stands_in_the_table_and_the_table_names_no_other() -> None:
    names = {ADMIN if address.is_admin else address.name for address in ALL}
    assert names == set(DOORS)


@pytest.fixture
def staff(operator: Any) -> Person:
    """Return a director who is flagged as staff."""
    return PersonFactory.create(operator=operator, username="staff", role="director", is_staff=True)


@pytest.fixture
def inspection(engine: Engine, mechanic: Person) -> Inspection:
    """Return an inspection of a run that has a trace."""
    opened = inspection_opened(engine, mechanic)
    trace_enter(run=opened.run, file=recording_file(), name="run.csv", by=mechanic)
    return opened


@pytest.fixture
def draft(inspection: Inspection) -> TypeRevision:
    """Return a draft of changed limits that waits for its second person."""
    document = type_document()
    document["charts"][0]["limit"] += 1
    return TypeRevisionFactory.create(
        engine_type=inspection.engine.engine_type, document=document, is_adopted=False, in_force_from=date(2026, 6, 1)
    )


def engine_parts(engine: Engine, by: Person) -> dict[str, Any]:
    """Return what stands in the addresses of an engine: one of its tasks, and a kind of work."""
    task = task_add(engine=engine, document=DIRECTIVE, begins_on=date(2026, 1, 1), by=by)
    return {"pk": engine.pk, "key": task.pk, "kind": "work"}


def part_limited(inspection: Inspection, by: Person) -> dict[str, Any]:
    """Return a part that is fitted to the engine of an inspection, and a limit of it."""
    component = ComponentFactory.create(operator=inspection.operator)
    part_fit(component=component, engine=inspection.engine, at=inspection.opened_at, by=by)
    facts = LimitFacts(100, "count", "Invented chapter 5", "3")
    named = {"operator": inspection.operator, "part_number": component.part_number}
    limit = limit_add(**named, kind="inspection", parameter="starts", facts=facts, by=by)
    task = task_add(
        engine=inspection.engine, component=component, document=DIRECTIVE, begins_on=date(2026, 1, 1), by=by
    )
    return {"pk": component.pk, "limit": limit.pk, "key": task.pk}


def photo_parts(run: UUID, by: Person) -> Objects:
    """Return what stands in the addresses of photos: one of a run, and the run itself."""
    photo = {"pk": photo_of(by, "run", run).pk}
    return {"photos/": photo, f"{REST}photos/": photo, "photos/of/": {"thing": "run", "key": run}}


def record_parts(engine: Engine, entry: Entry, by: Person) -> Objects:
    """Return what stands in the addresses of the record as a whole."""
    concern = Concern.objects.create(operator=engine.operator, kind="late", text="late", raised_by=by)
    answered = checks_set(engine, by, 1)
    asked = first_starts_set(engine, by, 1)
    return {
        "checks/": {"pk": answered["checks/", "pk"]},
        "first-starts/": {"pk": asked["first-starts/", "pk"]},
        f"{REST}first-starts/": {"pk": asked["first-starts/", "pk"]},
        "entries/": {"number": 1},
        f"{REST}entries/": {"number": 1},
        "received/": {"pk": (package := package_received(engine, entry, by, 1)).pk, "number": 1},
        "documents/": {"pk": documents_came(package, by, 1).pk},
        "hand-overs/": {"number": handed_over(engine, by).number},
        "parts/gone/": {"pk": part_gone(engine, by).pk},
        "record/checkpoints/": {"size": 1},
        "check/": {"code": entry.leaf_hash},
        "to-settle/": {"pk": concern.pk},
    }


@pytest.fixture
def objects(inspection: Inspection, draft: TypeRevision, mechanic: Person) -> Objects:
    """Return what stands under each part of the site: one operator's records."""
    engine, kind = engine_parts(inspection.engine, mechanic), inspection.engine.engine_type_id
    judgement = inspection.run.judgements.get(is_current=True)
    run = {"pk": inspection.run_id, "judgement": judgement.pk, "place": 1, "trace": judgement.trace_id}
    Rules.objects.create(operator=inspection.operator, ruleset="us", by=mechanic)
    work = {"pk": work_open(engine=inspection.engine, kind="work", facts={}, by=mechanic).pk}
    part = part_limited(inspection, mechanic)
    waiting, entry = draft_waiting(Component.objects.get(pk=part["pk"]), mechanic), Entry.objects.get(number=1)
    colleague = PersonFactory.create(operator=inspection.operator)
    line = Authorization.objects.create(operator=inspection.operator, person=colleague, listed_by=mechanic, **BEGUN)
    told = {"done": "d", "not_done": "n", "watch_for": "w", "parts_off": "p", "told_to": colleague, "by": mechanic}
    return {
        "rules/": {"outcome": "work"},
        "work/": work,
        f"{REST}work/": work,
        "handover/": {"pk": Handover.objects.create(inspection=inspection, **told).pk},
        "engines/": engine,
        "runs/": run,
        **photo_parts(inspection.run_id, mechanic),
        "parts/": part,
        "inspections/": {"pk": inspection.pk, "step": 1},
        **record_parts(inspection.engine, entry, mechanic),
        "limits/": {"pk": draft.pk, "place": 1},
        "limits/types/": {"pk": kind},
        "people/": {"pk": colleague.pk},
        "people/inspections/": {"pk": line.pk},
        f"{REST}engines/": engine,
        f"{REST}runs/": run,
        f"{REST}inspections/": {"pk": inspection.pk, "position": 1},
        "parts/sent/": {"pk": waiting.pk},
        f"{REST}components/": {"pk": part["pk"]},
        f"{REST}components/<int:component>/limits/": {"component": part["pk"], "pk": part["limit"]},
        f"{REST}part-drafts/": {"pk": waiting.pk},
        f"{REST}engine-types/": {"pk": kind, "number": draft.number},
    }


def printed_for(person: Person) -> PrintJob:
    """Return a set that was printed for a person."""
    asked = {"choice": Choice().kept(), "paper": "a4", "address": "http://testserver/", "entries": 40}
    known = {"operator_id": person.operator_id, "title": "A set", "state": PrintJob.State.DONE, **asked}
    job, _ = PrintJob.objects.get_or_create(person=person, defaults=known)
    job.file.parent.mkdir(parents=True, exist_ok=True)
    job.file.write_bytes(b"%PDF-1.7")
    return job


@pytest.fixture
def visit(objects: Objects) -> Callable[[Person | None, Address, str], Any]:
    """Return a function that asks for an address by a method, as somebody or as nobody."""

    def asked(person: Person | None, address: Address, method: str) -> Any:
        client = Client()
        if person is not None:
            client.force_login(person)
        own: Objects = {}
        if address.route.startswith(OWN_PARTS):
            own = own_objects(person) if person else OWNED_BY_NOBODY
        return ask(client, address, method, filled(address, objects | own | SECRETS))

    return asked


def own_objects(person: Person) -> Objects:
    """Return what stands under the parts that are a person's own: a token and a saved view, made once."""
    token = person.api_tokens.first() or token_issue(person=person, label="walk")[0]
    view = SavedView.objects.get_or_create(person=person, name="walk", of="entry_list")[0]
    heard = {"heard_at": timezone.now() + timedelta(days=1)}
    package = PackageJob.objects.get_or_create(person=person, engine=Engine.objects.first(), defaults=heard)[0]
    return {
        "my-access/": {"pk": 1},
        "my-access/tokens/": {"pk": token.pk},
        "views/": {"pk": view.pk},
        "packing/": {"pk": package.pk},
        "prints/": {"pk": printed_for(person).pk},
    }


def protected(person: Person) -> Person:
    """Return a person who has codes from an app, and recovery codes."""
    secret = {"secret": get_adapter().encrypt("JBSWY3DPEHPK3PXP")}
    Authenticator.objects.create(user=person, type=Authenticator.Type.TOTP, data=secret)
    RecoveryCodes.activate(person)
    return person


def asked_of(kind: Callable[[Address], bool]) -> list[tuple[Address, str]]:
    """Return every address of a kind with every method that the table opens."""
    return [(address, method) for address in ALL if kind(address) for method in sorted(door_of(address.name) or ())]


def is_sign_in(response: Any) -> bool:
    """Return whether somebody is sent to the sign-in screen."""
    return response.status_code == 302 and response["Location"].split("?")[0] == reverse("sign_in")


def is_let_in(response: Any) -> bool:
    """Return whether a request came through to its view and found what it is about."""
    return response.status_code not in (401, 403, 404, 405) and not is_sign_in(response)


def lets_in(role: str, act: str) -> bool:
    """Return whether the table lets somebody of the cast do an act, the admin aside."""
    return act == OPEN or ("director" if role == "staff" else role) in ACTS[act]


def by_the_table(address: Address) -> bool:
    """Return whether an address is somebody's work: not the admin, not coming in, not the address of nothing."""
    return not address.is_admin and OPEN not in (door_of(address.name) or {}).values()


@pytest.mark.parametrize("role", CAST)
def test_each_role_comes_in_where_the_table_says(
    role: str, request: pytest.FixtureRequest, visit: Callable[[Person | None, Address, str], Any]
) -> None:
    person = protected(request.getfixturevalue(role))
    answers = {(a.name, method): visit(person, a, method) for a, method in asked_of(by_the_table)}
    refused = {key for key in answers if not lets_in(role, act_of(*key) or "")}
    assert {key for key, answer in answers.items() if not is_let_in(answer)} == refused
    assert {key: answers[key].status_code for key in refused} == dict.fromkeys(refused, 403)


def test_nobody_comes_in_but_by_the_sign_in_screen(visit: Callable[[Person | None, Address, str], Any]) -> None:
    for address, method in asked_of(by_the_table):
        response = visit(None, address, method)
        assert response.status_code == 401 if address.is_rest else is_sign_in(response), (address, method)


def test_the_director_of_another_operator_finds_nothing(
    stranger: Person, engine: Engine, visit: Callable[[Person | None, Address, str], Any]
) -> None:
    for address, method in asked_of(by_the_table):
        if address.route.startswith(OWN_PARTS):
            continue
        response = visit(stranger, address, method)
        if set(address.keys) - FORMS:
            assert response.status_code == 404, (address, method)
        else:
            assert is_let_in(response), (address, method)
            assert engine.serial.encode() not in body_of(response), (address, method)


def test_no_other_method_opens_a_door(director: Person, objects: Objects, client: Client) -> None:
    client.force_login(director)
    there = objects | own_objects(director) | SECRETS
    for address in ALL:
        if address.is_admin or address.name == "api:nothing":
            continue
        for method in set(METHODS) - set(door_of(address.name) or ()):
            # Nothing is done by any of them, so that one who has come in asks for all.
            assert ask(client, address, method, filled(address, there)).status_code == 405, (address, method)


@pytest.mark.parametrize("role", ["mechanic", "inspector", "director", "auditor", "stranger"])
def test_the_admin_lets_in_nobody_who_is_not_staff(role: str, request: pytest.FixtureRequest) -> None:
    client = Client()
    client.force_login(request.getfixturevalue(role))
    for path in admin_paths():
        assert (client.get(path).status_code, client.post(path).status_code) == (403, 403), path


@pytest.mark.django_db
def test_the_admin_sends_nobody_to_the_sign_in_screen() -> None:
    for path in admin_paths():
        assert is_sign_in(Client().get(path)), path


def admin_paths() -> list[str]:
    """Return every address of the admin, filled with something."""
    some = {"object_id": 1, "content_type_id": 1, "app_label": "logbook"}
    named = [a for a in ALL if a.is_admin and "." not in a.name]
    return ["/admin/nothing", *(reverse(a.name, kwargs={key: some[key] for key in a.keys}) for a in named)]


def test_being_staff_does_not_lift_a_role(operator: Any) -> None:
    client = Client()
    client.force_login(PersonFactory.create(operator=operator, role="mechanic", is_staff=True, is_superuser=True))
    assert client.get(reverse("admin:index")).status_code == 403
    assert act_of("admin:index", "GET") == STAFF_ACT


@pytest.mark.parametrize("method", METHODS)
def test_an_address_that_is_not_there_is_not_there_for_anybody(method: str, director: Person, client: Client) -> None:
    client.force_login(director)
    assert client.generic(method, "/api/v1/nothing/").status_code == 404
    assert Client().generic(method, "/api/v1/nothing/").status_code == 404
