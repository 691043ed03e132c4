"""The README's first command: stored, judged, printed, served."""

import os
import socket
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from django.conf import LazySettings
from django.core.management import call_command

from engines.models import Component, Engine, FirstStart, Run, TypeRevision
from inspections.models import Exceedance, Inspection
from logbook.demo.loading import demo_load
from logbook.demo.plan import DemoPlan, plan_read
from logbook.engine_papers.condition import LOWEST, trend_sheet
from logbook.ledger.check_package import check
from logbook.management.commands import demo
from logbook.models import ApiToken, Discrepancy, Entry, PackageJob, Person, ReceivedPackage
from logbook.printing.engine_sheet import engine_sheet_pdf, picture_room
from logbook.printing.running import Stamp
from tests.logbook.printing.reading import pages_of

TODAY = date(2026, 5, 20)


def short(plan: DemoPlan) -> DemoPlan:
    """Return the demo with the runs that were worked on and the first few of the others."""
    worked = [run for run in plan.runs if run.work]
    others = [run for run in plan.runs if not run.work and (run.readings or run.scenario is None)]
    return replace(plan, runs=(*worked[:2], *others[:1], plan.runs[0]))


@pytest.fixture(autouse=True)
def keys_apart(settings: LazySettings, tmp_path: Path) -> None:
    """Keep the keys that the demo makes from the operators of other tests, whose numbers are the same."""
    settings.KEYS_DIR = tmp_path / "keys"


@pytest.fixture(scope="module")
def plan() -> DemoPlan:
    return short(plan_read())


@pytest.mark.django_db
def test_the_demo_is_stored_once_however_often_it_is_loaded(plan: DemoPlan) -> None:
    first = list(demo_load(plan, TODAY))
    counted = [model.objects.count() for model in (Run, Entry, Inspection, Engine, Component, Person, TypeRevision)]
    of_plans = Run.objects.filter(first_start_line__isnull=False)
    # Two are of the engine that came, at either owner.
    assert counted[0] == len(plan.runs) + 4 + of_plans.count()
    carried = FirstStart.objects.exclude(lines=None).distinct()
    assert [(plan.is_open, plan.progress.step is None) for plan in carried] == [
        (True, False), (False, True),
    ]  # fmt: skip
    endings = carried.get(end=None).lines.values_list("ending", flat=True)
    assert {"No light-off", "Flame-out at the transfer"} <= set(endings)
    assert of_plans.filter(kind="wet_motoring").exists()
    assert of_plans.exclude(trainee="").exclude(supervisor=None).exists()
    assert list(demo_load(plan, date(2026, 6, 1))) == first
    assert counted == [
        model.objects.count() for model in (Run, Entry, Inspection, Engine, Component, Person, TypeRevision)
    ]
    # Three of its own, and one that came with its record from another owner, where it stands too, and was handed on.
    assert [Engine.objects.filter(left_at=None).count(), Engine.objects.count()] == [4, 5]
    (came,) = ReceivedPackage.objects.all()
    (job,) = PackageJob.objects.all()
    assert job.engine == came.engine and job.entry is not None and job.entry.body["handed"]["to"].startswith("Nearholm")
    with job.file.open("rb") as file:
        assert check(file)[0]["title"].startswith("engine DEMO-0901")
    told = [entry.body["work"]["data"] for entry in Entry.objects.all() if entry.body.get("work")]
    copies = [data["file"]["name"] for data in told if "file" in data]
    assert copies == ["invented-manual-73-10.txt"]
    assert {person.role for person in Person.objects.exclude(operator=None)} == {
        "mechanic",
        "inspector",
        "director",
        "auditor",
    }
    assert Inspection.objects.filter(state="approved").exists()
    assert TypeRevision.objects.filter(is_adopted=False).count() == 1


@pytest.mark.django_db
def test_the_demo_shows_a_corrected_run_a_refused_second_look_and_a_countdown(plan: DemoPlan) -> None:
    """What happens seldom is there to be looked at: R-COR-1, R-135.427-b, R-801-c."""
    list(demo_load(plan, TODAY))
    run = Entry.objects.exclude(corrects=None).exclude(run=None).get()
    assert {line["what"] for line in run.body["correction"]["changes"]} >= {"Remarks", "Starts, as written down"}
    looks = [entry.body["work"].get("looks") for entry in Entry.objects.filter(kind="work")]
    (told,) = [look for look in looks if look]
    assert [line["outcome"] for line in told] == ["Not accepted", "Done again", "Accepted"]
    pending = Discrepancy.objects.filter(lines__state="pending")
    assert sorted((row.due_now - TODAY).days for row in pending if row.due_now) == [4, 4]


BEYOND = (
    "0207-05", "0331-06", "0114-09", "0207-09", "0331-09", "0114-11", "0114-12", "0114-15", "0207-15",
)  # fmt: skip


@pytest.mark.django_db
def test_the_condition_of_every_engine_prints_on_one_page() -> None:
    plan = plan_read()
    list(demo_load(replace(plan, runs=tuple(run for run in plan.runs if run.key in BEYOND)), TODAY))
    person = Person.objects.get(username="maren")
    stamp = Stamp(datetime(2026, 5, 20, 9, 0, tzinfo=UTC), "Maren Foghorn")
    for serial, seen in (("RS650-0114", 4), ("RS650-0207", 4), ("RS650-0331", 2)):
        sheet = trend_sheet(person, Engine.objects.get(serial=serial), stamp)
        # The picture is no lower than it was readable, and the newest of what went beyond limits stand under it.
        assert picture_room(sheet, stamp) >= LOWEST
        assert len(sheet.listings[-1].rows) == seen
        for paper in ("a4", "letter"):
            text = pages_of(engine_sheet_pdf(sheet, paper=paper, stamp=stamp))  # type: ignore[arg-type]
            assert len(text) == 1 and "End of the condition and trend" in text[0]


@pytest.mark.django_db
def test_the_command_prints_what_it_judged_and_serves(
    plan: DemoPlan, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    served: list[Any] = []
    monkeypatch.setattr(demo, "plan_read", lambda: plan)
    monkeypatch.setattr(os, "execv", lambda program, words: served.append(words))
    call_command("demo")
    said = capsys.readouterr().out
    assert "calls for" in said
    assert "RS650-0114" in said
    assert "Everything here is invented" in said
    port = served[0][served[0].index("--port") + 1]
    assert f"http://127.0.0.1:{port}/" in said
    token = said.split("Bearer ")[1].split()[0]
    assert ApiToken.objects.filter(revoked_at=None).count() == 1
    call_command("demo", "--port", "9999")
    assert "http://127.0.0.1:9999/" in capsys.readouterr().out
    assert ApiToken.objects.filter(revoked_at=None).count() == 1
    assert token
    call_command("demo", "--no-serve")
    assert len(served) == 2


def test_a_port_in_use_is_passed_over(monkeypatch: pytest.MonkeyPatch) -> None:
    with socket.socket() as taken:
        taken.bind((demo.HOST, 0))
        taken.listen()
        port = taken.getsockname()[1]
        monkeypatch.setattr(demo, "FIRST_PORT", port)
        assert demo.free_port() > port
        monkeypatch.setattr(demo, "PORTS_TRIED", 1)
        with pytest.raises(SystemExit, match="No port"):
            demo.free_port()


def test_a_near_miss_without_a_margin_of_value_is_said_so() -> None:
    rows = [Exceedance(chart="Torque", unit="percent", margin={"value": None, "next_area": "A"})]
    assert demo.near_miss(rows) == "beyond the limit, no area entered (Torque)"
    near = [*rows, Exceedance(chart="ITT", unit="degC", margin={"value": 2.0, "next_area": "A"})]
    assert demo.near_miss(near) == "beyond the limit, 2.0 °C short of area A (ITT)"
