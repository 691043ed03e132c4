"""The open inspections as a list for a desk: what it admits, several at once, and the list taken away."""

import csv
import io
from datetime import timedelta
from typing import Any

import openpyxl
import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from engines.models import Engine
from inspections import states
from inspections.models import Inspection
from logbook.models import Person
from tests.factories import EngineFactory, InspectionFactory, OperatorFactory, RunFactory
from tests.logbook.printing.reading import text_of
from tests.logbook.screen_kit import inspection_opened, signed_in, words


@pytest.fixture
def inspection(engine: Engine, mechanic: Person, director: Person, client: Client) -> Inspection:
    """Return an inspection that a recorded run called for, the director signed in."""
    opened = inspection_opened(engine, mechanic)
    signed_in(client, director)
    return opened


def another(inspection: Inspection, **changes: Any) -> Inspection:
    """Return one more inspection of the same run."""
    number = Inspection.objects.count() + 1
    return InspectionFactory.create(run=inspection.run, rule=f"area {number}", **changes)


def listed(client: Client, **asked: Any) -> list[int]:
    """Return the numbers of the inspections in the list, in order."""
    page = client.get(reverse("inspection_list"), asked).context["page"]
    return [row.number for row in page.object_list]


def test_the_list_admits_what_it_cannot_know(client: Client, inspection: Inspection, mechanic: Person) -> None:
    EngineFactory.create(operator=inspection.operator, serial="TB-0002")
    page = words(client.get(reverse("inspection_list")))
    assert f"by {mechanic}. A run that nobody has recorded, and readings still on paper, are not in this list." in page
    assert "As of " in page
    assert "The newest entry here is 1 , signed" in page
    assert "No run of the last 7 days is recorded for TB-0001, TB-0002." in page
    with time_machine.travel(inspection.run.started_at + timedelta(days=3)):
        client.force_login(mechanic)
        assert "is recorded for TB-0002." in words(client.get(reverse("inspection_list")))


def test_what_is_due_first_stands_in_front(client: Client, inspection: Inspection) -> None:
    later, sooner = another(inspection, before_next_flight=False), another(inspection)
    Inspection.objects.filter(pk=later.pk).update(opened_at=inspection.opened_at - timedelta(days=40))
    assert listed(client) == [inspection.number, sooner.number, later.number]
    page = words(client.get(reverse("inspection_list")))
    assert "Not called for before the next flight; the limits give no date." in page
    assert "Open 0 to 2 days: 2 Open 3 to 7 days: 0 Open 8 to 30 days: 0 Open over 30 days: 1" in page


@pytest.mark.parametrize(("age", "days"), [("0-2", [0, 2]), ("3-7", [3, 7]), ("8-30", [8, 30]), ("over-30", [31, 90])])
def test_an_age_narrows_the_list_and_the_bands_stay(
    age: str, days: list[int], client: Client, inspection: Inspection
) -> None:
    opened = {0: inspection} | {n: another(inspection) for n in (2, 3, 7, 8, 30, 31, 90)}
    for n, row in opened.items():
        Inspection.objects.filter(pk=row.pk).update(opened_at=row.opened_at - timedelta(days=n))
    assert sorted(listed(client, age=age)) == sorted(opened[n].number for n in days)
    page = words(client.get(reverse("inspection_list"), {"age": age}))
    assert "Open 0 to 2 days: 2 Open 3 to 7 days: 2 Open 8 to 30 days: 2 Open over 30 days: 2" in page
    assert "2 of 2 shown, of 8 kept." in page


def test_the_list_is_narrowed_by_who_has_it(client: Client, inspection: Inspection, mechanic: Person) -> None:
    given = another(inspection, assigned_to=mechanic)
    assert listed(client, assigned_to=mechanic.pk) == [given.number]
    assert listed(client, assigned_to="nobody") == [inspection.number]
    assert listed(client, serial="b-0001") == [inspection.number, given.number]
    assert listed(client, engine=inspection.engine_id, serial="9") == []


def test_the_list_costs_few_queries_however_it_is_narrowed(
    client: Client, inspection: Inspection, django_assert_max_num_queries: Any
) -> None:
    for _ in range(8):
        another(inspection)
    with django_assert_max_num_queries(10):
        client.get(reverse("inspection_list"), {"age": "0-2", "assigned_to": "nobody", "serial": "TB", "view": "none"})


def test_several_are_given_to_one_person_after_reading_them_again(
    client: Client, inspection: Inspection, mechanic: Person
) -> None:
    second, settled = another(inspection), another(inspection, state=states.APPROVED)
    address = reverse("inspections_assign")
    chosen = [inspection.pk, second.pk, settled.pk]
    page = words(client.get(address, {"chosen": chosen}))
    assert "Give 2 inspections to a person" in page
    refused = client.post(address, {"chosen": chosen, "to": ""})
    assert (refused.status_code, "Choose a person." in words(refused)) == (422, True)
    answer = client.post(address, {"chosen": chosen, "to": mechanic.pk}, follow=True)
    assert f"Inspections 1, 2 are given to {mechanic}." in words(answer)
    assert set(Inspection.objects.filter(assigned_to=mechanic)) == {inspection, second}


@pytest.mark.parametrize("chosen", [[], ["x"], ["9" * 30]])
def test_nothing_is_given_where_nothing_is_chosen(chosen: list[str], client: Client, inspection: Inspection) -> None:
    response = client.get(reverse("inspections_assign"), {"chosen": chosen})
    assert response.status_code == 422
    assert "Choose at least one open inspection in the list first." in words(response)


def test_another_operators_inspection_is_not_given(client: Client, inspection: Inspection, mechanic: Person) -> None:
    foreign = InspectionFactory.create(run=RunFactory(engine=EngineFactory(operator=OperatorFactory())))
    client.post(reverse("inspections_assign"), {"chosen": [inspection.pk, foreign.pk], "to": mechanic.pk})
    foreign.refresh_from_db()
    assert foreign.assigned_to is None


def rows_of(response: Any) -> list[list[str]]:
    """Return the rows of a CSV file that was answered."""
    text = b"".join(response.streaming_content).decode()
    return list(csv.reader(io.StringIO(text)))


def test_the_file_has_exactly_the_rows_that_the_filters_leave(client: Client, inspection: Inspection) -> None:
    other: Engine = EngineFactory.create(operator=inspection.operator, serial="=TB+2")
    InspectionFactory.create(run=RunFactory(engine=other), summary="@Settled", state=states.APPROVED)
    address = reverse("inspection_table", args=["csv"])
    head, *rows = rows_of(client.get(address))
    assert head[0] == "Inspection"
    assert "Age [days]" in head
    assert [row[0] for row in rows] == ["1"]
    assert rows[0][head.index("What happened")] == "ITT, running: 770 °C, 20 s above the limit"
    assert rows[0][head.index("Opened")].startswith(f"{inspection.opened_at:%Y-%m-%dT%H:%M:%S}")
    _, settled = rows_of(client.get(address, {"state": "approved"}))
    assert settled[1:3] == ["'@Settled", "'=TB+2"]


def test_the_file_may_begin_with_a_byte_order_mark(client: Client, inspection: Inspection) -> None:
    address = reverse("inspection_table", args=["csv"])
    response: Any = client.get(address, {"bom": "1"})
    assert b"".join(response.streaming_content).startswith(b"\xef\xbb\xbfInspection")
    assert response["Content-Type"] == "text/csv; charset=utf-8"
    assert response["Content-Disposition"].startswith('attachment; filename="inspections-')
    assert client.get(reverse("inspection_table", args=["ods"])).status_code == 404


def test_only_the_chosen_rows_are_taken_away_or_printed(client: Client, inspection: Inspection) -> None:
    second = another(inspection)
    chosen = {"chosen": [second.pk]}
    assert [row[0] for row in rows_of(client.get(reverse("inspection_table", args=["csv"]), chosen))[1:]] == ["2"]
    printed = client.get(reverse("inspection_list_print"), chosen)
    assert printed["Content-Type"] == "application/pdf"
    text = text_of(printed.content)
    assert "Shown 1 of 2" in text
    assert "Only what was recorded by the time of printing is known here." in text


def test_an_empty_list_prints_as_one(client: Client, inspection: Inspection) -> None:
    assert "None." in text_of(client.get(reverse("inspection_list_print"), {"serial": "none such"}).content)


def test_entries_are_taken_away_with_the_engines_times(client: Client, inspection: Inspection) -> None:
    head, row = rows_of(client.get(reverse("entry_table", args=["csv"])))
    assert (row[0], row[1], row[head.index("Engine's run time [h]")]) == ("1", "Run beyond a limit", "0.40")
    assert rows_of(client.get(reverse("entry_table", args=["csv"]), {"kind": "inspection"}))[1:] == []


def test_engines_are_taken_away_with_their_condition(client: Client, inspection: Inspection) -> None:
    EngineFactory.create(operator=inspection.operator, serial="TB-0002")
    sheet = openpyxl.load_workbook(io.BytesIO(client.get(reverse("engine_table", args=["xlsx"])).content)).active
    assert [[cell.value for cell in row[:1] + row[4:7]] for row in sheet.iter_rows(min_row=2)] == [
        ["TB-0001", "Unserviceable", 1, 0.4],
        ["TB-0002", "Serviceable", 0, 0],
    ]


def test_a_note_is_kept_as_it_was_written(client: Client, inspection: Inspection, director: Person) -> None:
    address = reverse("note_add", args=[inspection.pk])
    assert client.post(address, {"note-text": " "}).status_code == 422
    client.post(address, {"note-text": "Borescope is out until Friday."})
    page = words(client.get(reverse("inspection_detail", args=[inspection.pk])))
    assert f"Borescope is out until Friday. {director}" in page
    assert "1 note" in words(client.get(reverse("inspection_list")))
    note = inspection.notes.get()
    for change in (note.save, note.delete):
        with pytest.raises(TypeError, match="only ever added"):
            change()


def test_nothing_is_noted_beside_what_is_approved(client: Client, inspection: Inspection) -> None:
    Inspection.objects.update(state=states.APPROVED)
    refused = client.post(reverse("note_add", args=[inspection.pk]), {"note-text": "Late"})
    assert (refused.status_code, inspection.notes.count()) == (422, 0)
    assert "Write a note" not in words(client.get(reverse("inspection_detail", args=[inspection.pk])))
