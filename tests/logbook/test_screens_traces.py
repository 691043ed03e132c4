"""Adding a recorded trace, and matching its columns once for all files of a type."""

from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.core.files.storage import storages
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engines.models import ColumnSetup, Engine, Run
from logbook.models import Entry, Person, Unsigned
from logbook.traces_waiting import FOLDER
from tests.factories import RunFactory
from tests.logbook.screen_kit import recording_file, signed_in, words

UNKNOWN = "time_s,T5,NG,torque,oil_press"
MATCHED = {
    "column_time_s": "time_s",
    "column_itt": "T5",
    "unit_itt": "degC",
    "column_n1": "NG",
    "unit_n1": "percent",
    "column_torque": "torque",
    "column_oil_press": "oil_press",
}


@pytest.fixture
def run(engine: Engine, mechanic: Person, client: Client) -> Run:
    """Return a run without evidence, its mechanic signed in."""
    signed_in(client, mechanic)
    return bare_run(engine, mechanic)


def bare_run(engine: Engine, by: Person) -> Run:
    """Return a run without evidence."""
    found: Run = RunFactory.create(engine=engine, recorded_by=by)
    return found


def add(client: Client, run: Run, **sheet: Any) -> Any:
    """Send the sheet with the file."""
    return client.post(reverse("trace_add", args=[run.pk]), sheet)


@pytest.fixture(autouse=True)
def own_storage(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Keep the files of each test apart."""
    # The model's fields hold the storage itself, so that its settings come too late here.
    for name in ("base_location", "location"):
        monkeypatch.setitem(vars(storages["traces"]), name, str(tmp_path))


def waiting_files() -> list[str]:
    """Return the names of the files that wait."""
    return storages["traces"].listdir(FOLDER)[1]


def test_a_file_whose_columns_are_known_is_judged_at_once(client: Client, run: Run) -> None:
    response = add(client, run, file=recording_file())
    assert response["Location"] == reverse("run_detail", args=[run.pk])
    assert "The trace is added" in words(client.get(response["Location"]))
    assert (run.traces.get().original_name, run.inspections.get().rule) == ("run.csv", "area B")
    assert Unsigned.objects.get().run == run


def test_the_same_file_again_changes_nothing(client: Client, run: Run) -> None:
    add(client, run, file=recording_file())
    assert add(client, run, file=recording_file()).status_code == 302
    assert (run.traces.count(), Unsigned.objects.count()) == (1, 1)


@pytest.mark.parametrize(
    ("sheet", "says"),
    [
        ({}, "Choose the recorder's file."),
        ({"file": SimpleUploadedFile("x.csv", b"\x00\x01\x02\x03" * 300)}, "neither a text file nor a Parquet file"),
    ],
)
def test_a_file_that_cannot_be_used_gets_its_sentence(
    sheet: dict[str, Any], says: str, client: Client, run: Run
) -> None:
    response = add(client, run, **sheet)
    assert (response.status_code, run.traces.count(), Entry.objects.count()) == (422, 0, 0)
    assert says in words(response)


def test_columns_are_matched_once_and_remembered(client: Client, run: Run, engine: Engine, mechanic: Person) -> None:
    response = add(client, run, file=recording_file(header=UNKNOWN))
    matching = response["Location"]
    assert "Match the columns of the file" in words(client.get(matching))
    assert len(waiting_files()) == 1
    assert client.post(matching, MATCHED)["Location"] == reverse("run_detail", args=[run.pk])
    assert (run.traces.get().samples, waiting_files()) == (200, [])
    remembered = set(ColumnSetup.objects.values_list("header", "channel", "unit"))
    assert {("T5", "itt", "degC"), ("NG", "n1", "percent")} <= remembered

    other = bare_run(engine, mechanic)
    response = add(client, other, file=recording_file(header=UNKNOWN, peak=650.0))
    assert response["Location"] == reverse("run_detail", args=[other.pk])
    assert other.traces.get().samples == 200


def test_a_person_may_look_at_the_columns_first(client: Client, run: Run) -> None:
    response = add(client, run, file=recording_file(), check="on")
    page = client.get(response["Location"]).content.decode()
    assert '<option value="itt" selected>' in page


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"column_n1": "T5"}, "“T5” is chosen already, for Interstage turbine temperature."),
        ({"unit_itt": "psi"}, "psi can't be turned into degC"),
        ({"unit_itt": "lumps"}, "“lumps” is not a unit that is known here"),
        ({"column_time_s": ""}, "Choose the column that holds it."),
    ],
)
def test_a_matching_that_cannot_be_is_refused(changes: dict[str, str], says: str, client: Client, run: Run) -> None:
    matching = add(client, run, file=recording_file(header=UNKNOWN))["Location"]
    response = client.post(matching, MATCHED | changes)
    assert (response.status_code, run.traces.count()) == (422, 0)
    assert says in words(response)


def test_another_unit_in_the_file_is_turned_into_the_channels(client: Client, run: Run) -> None:
    matching = add(client, run, file=recording_file(header=UNKNOWN))["Location"]
    client.post(matching, MATCHED | {"unit_itt": "degF"})
    highest = run.traces.get().extremes.get(channel="itt", regime="").highest
    assert highest == pytest.approx((770 - 32) / 1.8)


def test_a_file_that_waits_is_its_senders_only(client: Client, run: Run, inspector: Person) -> None:
    matching = add(client, run, file=recording_file(header=UNKNOWN))["Location"]
    client.logout()
    response = signed_in(client, inspector).get(matching)
    assert response["Location"] == reverse("trace_add", args=[run.pk])
    assert "Choose it again." in words(client.get(response["Location"]))


def test_a_file_nobody_came_back_for_is_deleted_after_a_day(client: Client, run: Run) -> None:
    add(client, run, file=recording_file(header=UNKNOWN))
    (first,) = waiting_files()
    with time_machine.travel(timezone.now() + timedelta(days=1, minutes=5)):
        client.force_login(run.recorded_by)
        add(client, run, file=recording_file(header=UNKNOWN, peak=650.0))
    kept = waiting_files()
    assert len(kept) == 1
    assert first not in kept
