"""Recording a run: what is typed, what is refused in words, and the recorder's file in the same sheet."""

import datetime
import uuid
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from engines.models import Engine, Reading, Run
from inspections.models import Inspection
from logbook.models import Entry, Person, Unsigned
from logbook.views import record
from tests.documents import type_document
from tests.logbook.screen_kit import recording_file, signed_in, words
from tests.signed import run_signed

STARTING, RUNNING, OIL = 0, 1, 2  # places of the charts in the type's document


@pytest.fixture
def sheet(engine: Engine, mechanic: Person, client: Client) -> dict[str, Any]:
    """Return a sheet that is complete, as the browser would send it."""
    signed_in(client, mechanic)
    opened = client.get(reverse("run_record", args=[engine.pk])).context["form"]
    return {"id": str(opened["id"].value()), "kind": "ground_run", "started_at": "2026-05-04T07:30", "run_time": "0,4"}


def send(client: Client, engine: Engine, sheet: dict[str, Any], **changes: Any) -> Any:
    """Send the sheet with some boxes changed."""
    return client.post(reverse("run_record", args=[engine.pk]), sheet | changes)


def test_the_cautions_stand_before_the_sheet(client: Client, engine: Engine, mechanic: Person) -> None:
    page = words(signed_in(client, mechanic).get(reverse("run_record", args=[engine.pk])))
    assert page.index("Before any engine runs") < page.index("What was it?")
    assert "Whoever is at the controls does not touch this during a start." in page
    assert "Limit 700 °C, not above." in page
    assert "Oil pressure, running Limit 40 psi, not below. Lowest reading , in psi" in page


def test_a_run_is_recorded_judged_and_entered(client: Client, engine: Engine, sheet: dict[str, Any]) -> None:
    response = send(client, engine, sheet, starts="1", cycles="1", remarks="Quiet.")
    run = Run.objects.get(pk=sheet["id"])
    assert response["Location"] == reverse("run_detail", args=[run.pk])
    assert (run.run_time_s, run.starts, run.cycles, run.remarks) == (1440, 1, 1, "Quiet.")
    assert run.started_at == datetime.datetime(2026, 5, 4, 7, 30, tzinfo=datetime.UTC)
    assert (Unsigned.objects.get().run, Entry.objects.count()) == (run, 0)
    assert "The run is recorded." in words(client.get(response["Location"]))


def test_a_reading_calls_for_its_inspection(client: Client, engine: Engine, sheet: dict[str, Any]) -> None:
    send(client, engine, sheet, **{f"peak_{RUNNING}": "770,5", f"seconds_{RUNNING}": "4"})
    reading, inspection = Reading.objects.get(), Inspection.objects.get()
    assert (reading.chart, reading.peak, reading.seconds, reading.unit) == ("ITT, running", 770.5, 4.0, "degC")
    assert (inspection.rule, inspection.summary) == ("area B", "Hot section inspection")


@pytest.mark.parametrize(
    ("boxes", "peak", "seconds"),
    [
        ({"peak": "770", "seconds_unknown": "on"}, 770.0, None),
        ({"peak_unknown": "on", "seconds": "3"}, None, 3.0),
        ({"peak_unknown": "on", "seconds_unknown": "on"}, None, None),
        ({"peak": "690"}, 690.0, 0.0),
        ({"peak": "700"}, 700.0, 0.0),
    ],
)
def test_not_known_can_be_said_and_within_the_limit_takes_no_time(
    boxes: dict[str, str],
    peak: float | None,
    seconds: float | None,
    *,
    client: Client,
    engine: Engine,
    sheet: dict[str, Any],
) -> None:
    named = {f"{name.split('_')[0]}_{RUNNING}{name[len(name.split('_')[0]) :]}": v for name, v in boxes.items()}
    assert send(client, engine, sheet, **named).status_code == 302
    reading = Reading.objects.get()
    assert (reading.peak, reading.seconds) == (peak, seconds)


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"kind": ""}, "Choose what it was."),
        ({"started_at": ""}, "Give the day and the time at which it began."),
        ({"started_at": "2999-01-01T00:00"}, "That is still to come."),
        ({"run_time": "1.234,5"}, "has both a point and a comma"),
        ({"run_time": "1..2"}, "has more than one decimal mark"),
        ({"run_time": "--3"}, "has more than one sign"),
        ({"run_time": "-3"}, "is below 0"),
        ({"starts": "1.5"}, "is not a whole number"),
        ({"peak_1": "seven"}, "is not a number"),
        ({"peak_1": "770"}, "Give the seconds, or choose “Not known”"),
        ({"seconds_1": "5"}, "Give the reading, or choose “Not known”"),
        (
            {"peak_1": "770", "peak_1_unknown": "on", "seconds_1": "5"},
            "Give the reading, or choose “Not known”; not both.",
        ),
        ({"id": ""}, "Open this screen again"),
    ],
)
def test_what_is_wrong_is_said_and_what_was_typed_is_kept(
    changes: dict[str, str], says: str, client: Client, engine: Engine, sheet: dict[str, Any]
) -> None:
    response = send(client, engine, sheet, remarks="Kept as typed", **changes)
    page = response.content.decode()
    assert (response.status_code, Run.objects.count()) == (422, 0)
    assert says in words(response)
    assert "Kept as typed" in page
    assert all(f'value="{typed}"' in page for name, typed in changes.items() if typed and not name.endswith("unknown"))
    assert 'class="error-summary" tabindex="-1" autofocus' in page


def test_sending_twice_is_harmless(client: Client, engine: Engine, sheet: dict[str, Any]) -> None:
    first, second = send(client, engine, sheet), send(client, engine, sheet)
    assert first["Location"] == second["Location"]
    assert (Run.objects.count(), Unsigned.objects.count()) == (1, 1)


def test_sending_the_same_sheet_with_other_figures_is_refused(
    client: Client, engine: Engine, sheet: dict[str, Any]
) -> None:
    send(client, engine, sheet)
    response = send(client, engine, sheet, run_time="0.9")
    assert (response.status_code, Run.objects.get().run_time_s) == (422, 1440)
    assert "This sheet was sent before, with other figures" in words(response)


def test_a_trace_in_the_same_sheet_is_judged(client: Client, engine: Engine, sheet: dict[str, Any]) -> None:
    response = send(client, engine, sheet, trace=recording_file(), run_time="")
    run = Run.objects.get()
    assert response["Location"] == reverse("run_detail", args=[run.pk])
    assert (run.traces.get().samples, run.inspections.get().rule) == (200, "area B")
    assert run_signed(run, run.recorded_by).body["evidence"][0]["name"] == "run.csv"
    assert run.run_time_s > 0


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "The submitted file is empty."),
        (b"\x00\x01\x02\x03" * 300, "neither a text file nor a Parquet file"),
        (b"time_s,itt,n1,torque,oil_press\n0,20,0,0,0\n5,20,0,0,0\n4,20,0,0,0\n", "Time runs backwards"),
    ],
)
def test_a_file_that_cannot_be_used_leaves_nothing(
    content: bytes, says: str, client: Client, engine: Engine, sheet: dict[str, Any]
) -> None:
    response = send(client, engine, sheet, trace=SimpleUploadedFile("bad.csv", content))
    assert (response.status_code, Run.objects.count(), Entry.objects.count()) == (422, 0, 0)
    assert says in words(response)
    assert "Choose the file again" in words(response)


def test_a_file_that_is_too_large_is_refused(
    client: Client, engine: Engine, sheet: dict[str, Any], settings: Any
) -> None:
    settings.TRACE_UPLOAD_MAX_BYTES = 100
    response = send(client, engine, sheet, trace=recording_file())
    assert (response.status_code, Run.objects.count()) == (422, 0)
    assert "The file is larger than" in words(response)


def test_a_trace_whose_columns_nobody_knows_waits_for_them(
    client: Client, engine: Engine, sheet: dict[str, Any]
) -> None:
    response = send(client, engine, sheet, trace=recording_file(header="time_s,T5,NG,torque,oil_press"))
    run = Run.objects.get()
    assert response["Location"].startswith(reverse("trace_add", args=[run.pk]) + "?waiting=")
    assert not run.traces.exists()


def test_two_sheets_at_one_moment_are_one_run(
    client: Client, engine: Engine, sheet: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    send(client, engine, sheet, trace=recording_file())
    found = [False, True]
    monkeypatch.setattr(record, "is_new", lambda key: not found.pop(0))
    response = send(client, engine, sheet, trace=recording_file())
    assert response["Location"] == reverse("run_detail", args=[sheet["id"]])
    assert (Run.objects.count(), Unsigned.objects.count(), found) == (1, 1, [])


def test_a_new_sheet_has_a_number_of_its_own(client: Client, engine: Engine, sheet: dict[str, Any]) -> None:
    again = client.get(reverse("run_record", args=[engine.pk])).context["form"]["id"].value()
    assert uuid.UUID(str(again)) != uuid.UUID(sheet["id"])


def test_what_a_type_counts_besides_has_boxes_of_its_own(client: Client, engine: Engine, mechanic: Person) -> None:
    signed_in(client, mechanic)
    address = reverse("run_record", args=[engine.pk])
    assert "Partial cycles" not in words(client.get(address))
    revision = engine.engine_type.revisions.get()
    revision.document = type_document(
        partial_cycles={"channel": "torque", "low": 30, "high": 70},
        counters=[{"name": "landings", "label": "Landings"}, {"name": "boost", "label": "Boost time", "unit": "s"}],
    )
    revision.save()
    page = words(client.get(address))
    assert all(label in page for label in ("Partial cycles", "Landings", "Boost time"))
    key = Run().pk
    sent = {"id": key, "kind": "flight", "started_at": "2026-05-04T07:30", "partial_cycles": "2"}
    sent |= {"counter_0": "3", "counter_1": "0.5"}
    client.post(address, sent)
    run = Run.objects.get(pk=key)
    assert (run.partial_cycles, run.other) == (2, {"landings": 3, "boost": 1800})
