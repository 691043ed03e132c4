"""What rules ask of inspections, directives and programmes, each by its number.

R-33.75-e (14 CFR 33.75(e)), R-91.417(a)(2)(iv) and (v), R-145.50-a (145.A.50(a)), R-305-c3 (M.A.305(c)3), R-ER-3.
"""

import csv
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engines.actions import Accomplishment, task_add, task_record
from engines.errors import DocumentError
from engines.models import Engine, TaskRecord
from engines.standing import Standing, standings_of
from engines.task_documents import task_document_read
from inspections.queries import condition_of
from logbook.models import Person
from tests.logbook.printing.reading import text_of

TODAY = timezone.localdate()
DIRECTIVE = {
    "name": "Disc",
    "kind": "directive",
    "mandatory": True,
    "number": "INV-7",
    "revision": "2",
    "revision_date": "2026-03-02",
    "initial": {"days": 30},
    "repeat": {"run_time_h": 50, "days": 60},
    "counts_from": "begun",
    "source": "invented directive",
}


@pytest.fixture
def disc(engine: Engine, director: Person) -> Standing:
    """Return an engine's recurring directive, which was never done."""
    task_add(engine=engine, document=DIRECTIVE, begins_on=TODAY - timedelta(days=10), by=director)
    return standings_of([engine])[engine.pk][0]


def done(standing: Standing, by: Person, days_ago: int, **more: Any) -> TaskRecord:
    said = Accomplishment(more.pop("outcome", "done"), TODAY - timedelta(days=days_ago), "Eddy current", **more)
    return task_record(standing=standing, said=said, by=by)


def printed(client: Client, engine: Engine, by: Person) -> str:
    client.force_login(by)
    return " ".join(text_of(client.get(reverse("tasks_print", args=[engine.pk])).content).split())


def test_r_33_75_e_a_mandatory_action_is_flagged_and_holds_the_engine(engine: Engine, disc: Standing) -> None:
    assert disc.task.mandatory
    with pytest.raises(DocumentError):
        task_document_read(DIRECTIVE | {"mandatory": False})


def test_r_91_417_a_2_iv_the_inspection_status_has_the_time_since_it_was_last_done(
    client: Client, engine: Engine, disc: Standing, mechanic: Person
) -> None:
    done(disc, mechanic, 3)
    assert f"Done, {TODAY - timedelta(days=3)}" in printed(client, engine, mechanic)


def test_r_91_417_a_2_v_a_directive_has_number_revision_date_method_and_time_and_date_next_due(
    client: Client, engine: Engine, disc: Standing, mechanic: Person
) -> None:
    done(disc, mechanic, 3, used={"run_time": 36000})
    text = printed(client, engine, mechanic)
    for words in ("INV-7 revision 2", "Revision of 2026-03-02", "Eddy current", "60.0 h of run time"):
        assert words in text
    assert f"{TODAY + timedelta(days=57)} (57 days left)" in text


def test_r_145_50_a_an_overdue_directive_counts_against_the_engine(
    engine: Engine, director: Person, mechanic: Person
) -> None:
    task_add(engine=engine, document=DIRECTIVE, begins_on=TODAY - timedelta(days=31), by=director)
    condition = condition_of(engine)
    assert not condition.is_serviceable
    assert condition.reasons == ("Overdue: Disc (INV-7 revision 2) (airworthiness directive), 1 day over",)
    done(standings_of([engine])[engine.pk][0], mechanic, 0)
    assert condition_of(engine).is_serviceable


def test_r_305_c3_the_list_has_last_and_next_accomplishment_with_date_and_accumulated_life(
    client: Client, engine: Engine, disc: Standing, director: Person
) -> None:
    done(disc, director, 3, used={"run_time": 36000})
    client.force_login(director)
    response: Any = client.get(reverse("due_table", args=["csv"]), {"days": 365})
    (row,) = csv.DictReader(b"".join(response.streaming_content).decode().splitlines())
    assert (row["Engine"], row["What is due"]) == ("TB-0001", "Disc (INV-7 revision 2)")
    assert (row["Last done"], row["Accumulated then"]) == (str(TODAY - timedelta(days=3)), "10.0 h of run time")
    assert row["Method of compliance"] == "Eddy current"
    assert row["Due at"] == f"60.0 h of run time; {TODAY + timedelta(days=57)}"


def test_r_305_c3_a_terminating_action_closes_it_and_is_named(
    client: Client, engine: Engine, disc: Standing, mechanic: Person
) -> None:
    done(disc, mechanic, 1, outcome="terminated")
    text = printed(client, engine, mechanic)
    assert "Done, and ended by a terminating action" in text
    assert "Closed" in text


def test_r_er_3_what_was_recorded_of_a_task_stays(disc: Standing, mechanic: Person) -> None:
    line = done(disc, mechanic, 1)
    line.method = "Something else"
    with pytest.raises(TypeError, match="only ever added"):
        line.save()
    with pytest.raises(TypeError, match="only ever added"):
        TaskRecord.objects.all().delete()
