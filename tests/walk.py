"""The walk over the whole site map: every address that can be opened, filled in from the stage."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import get_resolver

from logbook.access import ACCOUNTS, SCREENS
from tests.stage import Stage
from tests.visitors import Places, visitors

# Addresses that can be opened and are no screen: a way on, a file, a sheet of paper, what a script asks for.
NO_SCREENS = {
    "advisory_print",
    "settings_print",
    "trend_print",
    "power_print",
    "run_power_print",
    "calendar_feed",
    "authorization_print",
    "card_print",
    "discrepancies_print",
    "concern_table",
    "check_print",
    "drift_print",
    "first_start_print",
    "due_table",
    "engine_table",
    "checkpoint_note",
    "parts_bulk_template",
    "entry_add_photos",
    "entry_print",
    "entry_proof",
    "entry_table",
    "excursion_samples",
    "home",
    "inspection_beside",
    "inspection_list_print",
    "inspection_table",
    "log_print",
    "manifest",
    "mfa_download_recovery_codes",
    "mfa_login_webauthn",
    "package_file",
    "package_job_file",
    "package_take",
    "part_print",
    "parts_print",
    "photo_file",
    "photo_preview",
    "publication_file",
    "open_items_print",
    "print_job_file",
    "start_print",
    "starts_print",
    "status_print",
    "tasks_print",
    "trace_file",
    "view_open",
    "worker",
}
# What a screen has to be asked, as it is nothing without; the parts are those of the folder.
ASKED = {"inspections_assign": ("inspections/", "?chosen={pk}"), "account_reauthenticate": ("", "?next=/my-access/")}
MARKS = ("SAVEPOINT", "RELEASE", "BEGIN", "COMMIT")
# Second names of screens, which the accounts library asks for.
SECOND_NAMES = {"account_login", "account_logout", "mfa_index", "mfa_list_webauthn"}


class AddressMissing(Exception):
    """The stage has no value for a part of an address; the message says which."""


def route_of(name: str) -> str:
    """Return the pattern of an address by its name."""
    (found, _), *_ = get_resolver().reverse_dict.getlist(name)[0][0]
    return str(found)


def address_of(name: str, places: Places) -> str:
    """Return an address by its name; AddressMissing where the stage has no value for one of its parts."""
    route = route_of(name)
    folder = route.split("%")[0]
    filled: dict[str, Any] = {}
    for part in re.findall(r"%\((\w+)\)s", route):
        key = next((key for key in ((folder, part), ("", part)) if key in places), None)
        if key is None:
            raise AddressMissing(f"{name}: give tests/stage.py a value for the {part} of {folder}")
        filled[part] = places[key]
    folder, asked = ASKED.get(name, ("", ""))
    return f"/{route % filled}{asked.format(pk=places.get((folder, 'pk')))}"


def openable() -> dict[str, str]:
    """Return the act of every address that can be opened, by name, as the table of access has them."""
    named = {name for name in get_resolver().reverse_dict if isinstance(name, str)}
    doors = {**SCREENS, **ACCOUNTS}
    return {name: doors[name]["GET"] for name in sorted(named & set(doors)) if "GET" in doors[name]}


def unlisted() -> set[str]:
    """Return the names of the site map that the table of access does not have, so that nobody walks past them."""
    named = {name for name in get_resolver().reverse_dict if isinstance(name, str)}
    return named - set(SCREENS) - set(ACCOUNTS) - SECOND_NAMES


def screens() -> list[str]:
    """Return the names of all screens, by the site map alone."""
    return [name for name in openable() if name not in NO_SCREENS]


def queries_in(asked: CaptureQueriesContext) -> int:
    """Return how many queries were caught, marks of transactions not counted."""
    return sum(not query["sql"].startswith(MARKS) for query in asked.captured_queries)


def is_page(response: Any) -> bool:
    """Return whether an answer is a page to look at."""
    return response.status_code == 200 and response["Content-Type"].startswith("text/html")


@dataclass(frozen=True)
class Visit:
    """What somebody of a role got who opened a screen, and of how many queries: no client and no answer for no page."""

    role: str
    address: str
    client: Client | None = None
    answer: Any = None
    queries: int | None = None


def opened(stage: Stage, name: str, first: str = "") -> Iterator[Visit]:
    """Yield each role that may open a screen with the page that it got, asked for once.

    ``first`` is the role that begins, where it may.
    """
    found = visitors(stage.people, stage.secured, openable()[name])
    for role in sorted(found, key=lambda role: role != first):
        address = ""
        for visitor in found[role]:
            address = address_of(name, stage.places | visitor.own)
            with CaptureQueriesContext(connection) as asked:
                answer = visitor.client.get(address)
            if is_page(answer):
                yield Visit(role, address, visitor.client, answer, queries_in(asked))
                break
        else:
            yield Visit(role, address)


def visits(stage: Stage, name: str, first: str = "") -> Iterator[tuple[str, Client | None, str]]:
    """Yield each role that may open a screen, with the client that gets its page, None where none does, and where."""
    for visit in opened(stage, name, first):
        yield visit.role, visit.client, visit.address
