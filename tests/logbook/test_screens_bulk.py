"""A list of parts comes in whole or not at all, and every row is shown before anything is kept."""

import re
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from engines.models import Component, Engine, PartMovement
from logbook.models import Entry, Person
from tests.logbook.screen_kit import PASSWORD, signed_in, words

HEAD = "part number,serial number,what it is,run time [h],starts,where the figures come from,engine,place,fitted at"
GOOD = (
    "D-1,A7,Disc,1204.5,900,Log card 7,TB-0001,turbine,2024-02-29",
    "B-2,C3,Blade set,10,12,Release certificate,,,",
)


@pytest.fixture
def sheet(client: Client, engine: Engine, mechanic: Person) -> Any:
    """Return a function that sends a list, its mechanic signed in."""
    signed_in(client, mechanic)

    def send(*rows: str, **more: Any) -> Any:
        file = SimpleUploadedFile("parts.csv", "\n".join([HEAD, *rows, ""]).encode(), content_type="text/csv")
        return client.post(reverse("parts_bulk"), {"file": file, **more})

    return send


def signed(client: Client, page: Any, password: str = PASSWORD) -> Any:
    """Sign what a page shows, as the page would send it."""
    hidden = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', page.content.decode()))
    return client.post(reverse("parts_bulk"), hidden | {"stage": "sign", "password": password})


def test_every_row_is_shown_and_then_kept_in_one_entry(client: Client, sheet: Any) -> None:
    page = sheet(*GOOD)
    shown = words(page)
    assert "2 parts would be entered, each as it stands below, all of them or none." in shown
    assert "fitted to TB-0001, turbine, since 2024-02-29" in shown
    assert (Component.objects.count(), Entry.objects.count()) == (0, 0)
    assert signed(client, page, "guess").status_code == 422
    assert signed(client, page).status_code == 302
    first = Component.objects.get(serial="A7")
    assert (first.brought_run_time_s, first.brought_starts, first.opening_basis) == (4336200, 900, "Log card 7")
    assert PartMovement.objects.get().component == first
    entry = Entry.objects.get()
    assert (entry.kind, entry.body["title"], len(entry.body["part"])) == ("opening", "Opening balances of 2 parts", 2)
    for address in (reverse("entry_detail", args=[1]), reverse("entry_list")):
        assert client.get(address).status_code == 200
    assert client.get(reverse("entry_print", args=[1])).content.startswith(b"%PDF-")


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ("D-9,A8,Disc,x,9,card,,,", "the file, row 4, column “run time [h]”"),
        (
            "D-9,A8,Disc,1,9,card,TB-0777,turbine,2024-02-29",
            "the file, row 4, column “engine” There is no engine TB-0777.",
        ),
        ("D-1,A7,Disc,1,9,card,,,", "stands in row 2 of the file too"),
    ],
)
def test_one_row_that_is_wrong_keeps_nothing(row: str, says: str, sheet: Any) -> None:
    page = sheet(*GOOD, row)
    assert page.status_code == 422
    assert says in words(page)
    told = words(page).split("could be entered as the list is", 1)
    assert told[0].rstrip().endswith("2 rows")
    assert "the file, row 2 D-1 A7; Disc; used 1204.5 h run time, 900 starts; from: Log card 7;" in told[1]
    assert (Component.objects.count(), Entry.objects.count()) == (0, 0)


def test_a_part_that_is_kept_already_is_named(client: Client, sheet: Any) -> None:
    signed(client, sheet(*GOOD))
    again = words(sheet(GOOD[1]))
    assert "the file, row 2, column “serial number” There is already a part B-2 with serial C3." in again


def test_rows_that_were_changed_on_the_way_are_refused(client: Client, sheet: Any) -> None:
    page = sheet(*GOOD)
    hidden = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', page.content.decode()))
    sent = hidden | {"rows": hidden["rows"][:-2] + "AA", "stage": "sign", "password": PASSWORD}
    assert "The rows are not those that were read." in words(client.post(reverse("parts_bulk"), sent))


def test_no_file_and_a_file_that_is_none(client: Client, sheet: Any) -> None:
    assert "Choose the file with the list of parts." in words(client.post(reverse("parts_bulk"), {}))
    none = SimpleUploadedFile("x.csv", b"\xff\x00", content_type="text/csv")
    assert "neither an XLSX workbook nor text" in words(client.post(reverse("parts_bulk"), {"file": none}))


def test_an_empty_list_is_given(client: Client, sheet: Any) -> None:
    given = client.get(reverse("parts_bulk_template"))
    assert given.content.decode().startswith("part number,serial number")
