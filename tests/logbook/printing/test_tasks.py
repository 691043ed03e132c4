"""The status of tasks on paper: what 14 CFR 91.417(a)(2)(iv) and (v) and a programme's status ask for (R-305-c3)."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engines.actions import Accomplishment, task_add, task_record
from engines.models import Engine
from engines.standing import standings_of
from logbook.models import Person
from tests.documents import type_document
from tests.factories import RunFactory, TypeRevisionFactory
from tests.logbook.printing.reading import pages_of, text_of

TODAY = timezone.localdate()
LOOK = {"name": "Look", "kind": "inspection", "mandatory": True, "repeat": {"run_time_h": 100}, "source": "invented"}
DIRECTIVE = {
    "name": "Disc",
    "kind": "directive",
    "mandatory": True,
    "number": "INV-7",
    "revision": "2",
    "revision_date": "2026-03-02",
    "initial": {"days": 30},
    "repeat": {"run_time_h": 50, "months": 2},
    "reference": "invented manual 72-50",
    "source": "invented directive",
}


@pytest.fixture
def printed(client: Client, engine: Engine, auditor: Person, mechanic: Person) -> bytes:
    """Return the print of an engine with a directive that was done, and an inspection that was not."""
    TypeRevisionFactory.create(engine_type=engine.engine_type, document=type_document() | {"tasks": [LOOK]})
    RunFactory.create(engine=engine, started_at=timezone.now() - timedelta(days=3), run_time_s=120 * 3600)
    task_add(engine=engine, document=DIRECTIVE, begins_on=TODAY - timedelta(days=9), by=mechanic)
    disc = next(s for s in standings_of([engine])[engine.pk] if s.own)
    said = Accomplishment("done", TODAY - timedelta(days=1), "Eddy current, no crack", "invented manual 72-50")
    task_record(standing=disc, said=said, by=mechanic)
    client.force_login(auditor)
    content: bytes = client.get(reverse("tasks_print", args=[engine.pk])).content
    return content


def test_a_directive_says_number_revision_method_and_next_due(printed: bytes) -> None:
    text = " ".join(text_of(printed).split())
    assert "Disc (INV-7 revision 2)" in text
    assert "Revision of 2026-03-02" in text
    assert "Eddy current, no crack" in text
    assert "Recurring: 50.0 h of run time or 2 months, whichever comes first" in text
    assert "170.0 h of run time (50.0 h of run time left)" in text
    assert f"last done {TODAY - timedelta(days=1)}" in text


def test_an_inspection_says_that_it_is_overdue_and_was_never_done(printed: bytes) -> None:
    text = " ".join(text_of(printed).split())
    assert "Never recorded as done" in text
    assert "Overdue 100.0 h of run time (20.0 h of run time over)" in text


def test_what_there_is_none_of_is_said_so(printed: bytes) -> None:
    text = text_of(printed)
    assert "Service bulletins" in text and "None kept." in text
    assert "End of the tasks." in pages_of(printed)[-1]


def test_it_approves_nothing(printed: bytes) -> None:
    assert "approves nothing for return to service" in " ".join(text_of(printed).split())
