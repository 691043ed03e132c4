"""What the record survives: a process killed at any moment, two people at once, a clock set back, a full disk."""

import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.core.files.storage import FileSystemStorage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engines.errors import DomainError
from engines.models import Engine, Run, RunTrace
from inspections.actions import inspection_second, step_answer
from inspections.models import Inspection, Release
from logbook.actions import inspection_sign
from logbook.ledger.checking import ledger_check
from logbook.models import Entry, Person
from tests.layers import ROOT
from tests.logbook.screen_kit import inspection_opened, recording_csv, run_with_inspection, signed_in, words
from tests.signed import signing_of


# It works in processes of its own, where nothing is counted.
@pytest.mark.no_cover
@pytest.mark.parametrize(("work", "times"), [("signing", 120), ("importing", 40), ("printing", 40)])
def test_a_process_killed_at_any_moment_loses_and_doubles_nothing(work: str, times: int, tmp_path: Path) -> None:
    environment = {**os.environ, "EMBERMARK_DATA": str(tmp_path)}
    environment.pop("EMBERMARK_DATABASE", None)
    command = [sys.executable, "-m", "tests.harness.killed", work, str(times)]
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    assert done.stdout.startswith(f"killed {times} times, ")


def finished(engine: Engine, mechanic: Person, inspector: Person) -> Inspection:
    """Return an inspection of which everything is done but its ending."""
    inspection = inspection_opened(engine, mechanic)
    for step in inspection.steps.all():
        step_answer(step=step, answer="done", reason="", by=mechanic)
    inspection.refresh_from_db()
    return inspection_second(inspection=inspection, by=inspector)


def ended(inspection: Inspection, by: Person) -> str:
    """End an inspection, and return the code of the refusal; nothing where it was signed."""
    told: dict[str, Any] = {"outcome": "approved", "extent": "Looked at", "completed_on": datetime(2026, 5, 5).date()}  # noqa: DTZ001
    try:
        inspection_sign(inspection=inspection, by=by, signing=signing_of(by), **told)
    except DomainError as error:
        return error.code
    finally:
        if connection.vendor == "postgresql":
            connection.close()
    return ""


@pytest.mark.django_db(transaction=True)
def test_two_people_signing_the_same_inspection_at_once_sign_it_once(
    engine: Engine, mechanic: Person, director: Person, inspector: Person
) -> None:
    inspection = finished(engine, mechanic, inspector)
    both = [(Inspection.objects.get(pk=inspection.pk), by) for by in (mechanic, director)]
    if connection.vendor == "postgresql":
        with ThreadPoolExecutor(2) as pool:
            codes = list(pool.map(lambda asked: ended(*asked), both))
    else:
        # One of two writers waits for the other there, so that both come one after the other with what they read.
        codes = [ended(*asked) for asked in both]
    assert sorted(codes) == ["", "move_refused"]
    assert (Release.objects.count(), Entry.objects.filter(kind="inspection").count()) == (1, 1)
    assert ledger_check(engine.operator).size == Entry.objects.count()


@pytest.mark.django_db
def test_a_clock_set_back_changes_no_order(engine: Engine, mechanic: Person) -> None:
    now = timezone.now()
    run_with_inspection(engine, mechanic)
    with time_machine.travel(now - timedelta(hours=30)):
        run_with_inspection(engine, mechanic)
    first, second = Entry.objects.order_by("number")
    assert (first.number, second.number, second.signed_at < first.signed_at) == (1, 2, True)
    assert ledger_check(engine.operator).size == 2
    assert second.signed_at.replace(tzinfo=UTC) <= now


@pytest.mark.django_db
def test_a_full_disk_keeps_nothing_half_and_says_so(
    client: Client, engine: Engine, mechanic: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    run = run_with_inspection(engine, mechanic)

    def full(*of: Any) -> str:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(FileSystemStorage, "_save", full)
    client.raise_request_exception = False
    sent = {"file": SimpleUploadedFile("run.csv", recording_csv(), content_type="text/csv")}
    response = signed_in(client, mechanic).post(reverse("trace_add", args=[run.pk]), sent)
    assert response.status_code == 500
    assert "What you sent last may not have been stored: go back, look, and send it again" in words(response)
    assert (RunTrace.objects.count(), Run.objects.count(), Entry.objects.count()) == (0, 1, 1)
    assert ledger_check(engine.operator).size == 1
