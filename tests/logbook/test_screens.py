"""A screen is one name: of its address, its view and its template; and nobody comes in who may not."""

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import URLPattern, reverse

from engines.models import Operator
from inspections.models import Inspection
from logbook import urls, urls_desk
from logbook.models import Person, SavedView
from logbook.people import Line, authorization_add
from tests.built import Things, built_once, own
from tests.cast import engine_stored, mechanic_stored, operator_stored
from tests.layers import ROOT
from tests.logbook.screen_kit import HTMX, inspection_opened, signed_in, words

SCREENS = {
    "sign_in",
    "token_list",
    "token_add",
    "engine_list",
    "engine_detail",
    "engine_times",
    "engine_starts",
    "run_record",
    "run_detail",
    "trace_add",
    "usage_source",
    "excursion_source",
    "inspection_list",
    "inspection_detail",
    "inspection_sign",
    "entry_list",
    "entry_detail",
    "limits_list",
    "limits_detail",
    "limits_enter",
    "inspections_assign",
    "view_list",
    "limits_key",
    "concern_list",
    "concern_detail",
    "engine_record",
    "person_list",
    "person_detail",
    "certificate_add",
    "person_add",
    "person_role",
    "person_password",
    "authorization_list",
    "authorization_add",
}
# Addresses that answer with something other than a screen: a fragment, a sheet of paper, a way on.
OTHERS = {
    "home",
    "inspection_beside",
    "sign_out",
    "token_revoke",
    "inspection_begin",
    "step_answer",
    "finding_add",
    "action_add",
    "cause_set",
    "inspection_second",
    "limits_adopt",
    "entry_print",
    "log_print",
    "inspection_list_print",
    "inspection_table",
    "entry_table",
    "engine_table",
    "concern_table",
    "note_add",
    "view_open",
    "view_keep",
    "view_change",
    "view_drop",
    "person_deactivate",
    "person_restore",
    "authorization_end",
    "authorization_print",
    "starts_print",
    "trace_file",
    "excursion_samples",
    # A screen, of a run in which a repeat was counted; its tests are those of repeats.
    "repeat_source",
    # A screen of one's own; its tests are those of units.
    "units_set",
}
# Lists of all that one's operator has, and screens of one's own.
LISTS = {"engine_list", "inspection_list", "entry_list", "limits_list", "view_list", "concern_list"}
LISTS |= {"token_list", "token_add", "person_list", "authorization_list"}
# Addresses of nothing in particular.
BARE = LISTS | {"authorization_add", "authorization_print", "person_add"}
BARE |= {"inspections_assign", "inspection_list_print", "view_keep", "units_set"}
POSTED = {
    "inspection_begin": "inspection.work",
    "finding_add": "inspection.work",
    "action_add": "inspection.work",
    "cause_set": "inspection.work",
    "inspection_second": "inspection.second",
    "note_add": "inspection.note",
    "person_deactivate": "people.keep",
    "person_restore": "people.keep",
    "authorization_end": "people.keep",
}
# Sent too, but a step of many, another table of acts, or everybody's own.
SENT = {"step_answer", "limits_adopt", "token_revoke", "view_keep", "view_change", "view_drop"}


def patterns() -> dict[str, URLPattern]:
    """Return the site's own addresses by name."""
    return {p.name: p for p in (*urls.urlpatterns, *urls_desk.urlpatterns) if isinstance(p, URLPattern) and p.name}


def templates() -> dict[str, list[Path]]:
    """Return the templates by the name of their file."""
    found: dict[str, list[Path]] = {}
    for path in (ROOT / "templates").rglob("*.html"):
        found.setdefault(path.stem, []).append(path)
    return found


def test_every_address_is_a_screen_or_says_what_else_it_is() -> None:
    assert set(patterns()) == SCREENS | OTHERS


@pytest.mark.parametrize("name", sorted(SCREENS - {"sign_in"}))
def test_a_screen_has_one_name(name: str) -> None:
    assert (patterns()[name].callback.__name__, len(templates()[name])) == (name, 1)


def inspection_stored() -> Things:
    """Store an inspection that a recorded run called for, and return it with what stands in each screen's address."""
    operator = operator_stored()
    mechanic = mechanic_stored(operator)
    inspection = inspection_opened(engine_stored(operator), mechanic)
    return {"operator": operator, "mechanic": mechanic, "keys": keys_of(inspection), "of_inspection": [inspection.pk]}


built = built_once(inspection_stored)
operator, mechanic = map(own, ("operator", "mechanic"))


@pytest.fixture
def address(copies: Things) -> Callable[[str], str]:
    """Return a function from a screen's name to its address for the engine, run and inspection of the test."""
    keys, of_inspection = copies["keys"], copies["of_inspection"]
    return lambda name: reverse(name, args=[] if name in BARE else keys.get(name, of_inspection))


def keys_of(inspection: Inspection) -> dict[str, list[Any]]:
    """Return what stands in each screen's address, where that is something other than the inspection."""
    by = inspection.run.recorded_by
    view = SavedView.objects.create(person=by, name="Kept", of="inspection_list")
    line = authorization_add(person=by, line=Line("Mechanic", "None", date(2026, 1, 1)), by=by)
    revision, judged = inspection.revision_id, [inspection.run_id, inspection.run.judgements.get().pk]
    return {
        "engine_detail": [inspection.engine_id],
        "engine_times": [inspection.engine_id],
        "engine_starts": [inspection.engine_id],
        "starts_print": [inspection.engine_id],
        "trace_file": [inspection.run_id, 1],
        "usage_source": judged,
        "excursion_source": [*judged, 1],
        "excursion_samples": [*judged, 1],
        "repeat_source": [*judged, 1],
        "run_record": [inspection.engine_id],
        "engine_record": [inspection.engine_id],
        "log_print": [inspection.engine_id],
        "run_detail": [inspection.run_id],
        "trace_add": [inspection.run_id],
        "entry_detail": [1],
        "entry_print": [1],
        "limits_detail": [revision],
        "limits_adopt": [revision],
        "limits_key": [revision, 1],
        **dict.fromkeys(("person_detail", "certificate_add", "person_deactivate", "person_restore"), [by.pk]),
        **dict.fromkeys(("person_role", "person_password"), [by.pk]),
        "authorization_end": [line.pk],
        "concern_detail": [inspection.run.concerns.get().pk],
        "limits_enter": [inspection.engine.engine_type_id],
        "step_answer": [inspection.pk, 1],
        **dict.fromkeys(("inspection_table", "entry_table", "engine_table", "concern_table"), ["csv"]),
        **dict.fromkeys(("view_open", "view_change", "view_drop"), [view.pk]),
    }


SHEETS = {"run_record", "trace_add", "inspection_sign", "limits_enter", "inspections_assign", "limits_key"}
SHEETS |= {"certificate_add", "authorization_add", "person_add", "person_role", "person_password"}
READABLE = sorted(SCREENS - SHEETS - {"sign_in"})


@pytest.mark.parametrize("name", READABLE)
def test_reading_is_for_everybody_of_the_operator(
    name: str, address: Callable[[str], str], client: Client, auditor: Person
) -> None:
    response = signed_in(client, auditor).get(address(name))
    assert response.status_code == 200
    assert "<h1" in response.content.decode()


@pytest.mark.parametrize("name", sorted((SCREENS | OTHERS) - {"sign_in", "sign_out", "home"}))
def test_nobody_comes_in_without_signing_in(name: str, address: Callable[[str], str], client: Client) -> None:
    asked = client.post if name in POSTED or name in SENT else client.get
    response = asked(address(name))
    assert (response.status_code, response["Location"].split("?")[0]) == (302, reverse("sign_in"))


OWNED = sorted(
    set(READABLE + ["entry_print", "log_print", "view_open", "starts_print", "trace_file", "excursion_samples"]) - LISTS
)


@pytest.mark.parametrize("name", OWNED)
def test_what_another_operator_keeps_is_not_there(
    name: str, address: Callable[[str], str], client: Client, stranger: Person
) -> None:
    assert signed_in(client, stranger).get(address(name)).status_code == 404


@pytest.mark.parametrize("name", sorted(SHEETS))
def test_an_auditor_changes_nothing(name: str, address: Callable[[str], str], client: Client, auditor: Person) -> None:
    signed_in(client, auditor)
    assert client.get(address(name)).status_code == 403
    assert client.post(address(name)).status_code == 403


@pytest.mark.parametrize("name", [*POSTED, "step_answer", "limits_adopt"])
def test_an_auditor_can_send_nothing(name: str, address: Callable[[str], str], client: Client, auditor: Person) -> None:
    assert signed_in(client, auditor).post(address(name)).status_code == 403


@pytest.mark.parametrize("name", ["inspection_second", "inspections_assign", "limits_adopt", "limits_enter"])
def test_a_mechanic_does_not_do_an_inspectors_or_a_directors_work(
    name: str, address: Callable[[str], str], client: Client, mechanic: Person
) -> None:
    response = signed_in(client, mechanic).post(address(name))
    assert response.status_code == 403
    assert "Your role does not allow this" in words(response)


@pytest.mark.parametrize("name", sorted({*POSTED, *SENT}))
def test_acts_are_sent_not_opened(name: str, address: Callable[[str], str], client: Client, director: Person) -> None:
    assert signed_in(client, director).get(address(name)).status_code == 405


def test_a_fragment_of_an_expired_session_goes_to_the_sign_in_screen(
    address: Callable[[str], str], client: Client
) -> None:
    response = client.post(address("inspection_begin"), headers=HTMX)
    assert (response.status_code, response.content) == (200, b"")
    assert response["HX-Redirect"] == f"{reverse('sign_in')}?next=/inspections/"


def test_a_page_that_is_not_there_says_so(client: Client, mechanic: Person) -> None:
    response = signed_in(client, mechanic).get("/nowhere/")
    assert response.status_code == 404
    assert "There is no such page" in words(response)


@pytest.mark.parametrize("is_demo", [True, False])
def test_the_demo_says_that_it_is_invented(
    is_demo: bool, address: Callable[[str], str], client: Client, mechanic: Person
) -> None:
    Operator.objects.filter(people=mechanic).update(is_demo=is_demo)
    signed_in(client, mechanic)
    for name in READABLE:
        shown = "Demo: everything here is invented; no limit shown is real." in words(client.get(address(name)))
        assert shown is is_demo
