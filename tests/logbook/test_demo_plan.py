"""The demo's fixtures agree with each other, and say that they are invented."""

import datetime
import json

import pytest

from engines.documents import engine_type_read
from engines.task_documents import task_document_read
from engines.tasks import KINDS
from engines.times import Times
from logbook.access import AUDITOR, DIRECTOR, INSPECTOR, MECHANIC
from logbook.demo.plan import FIXTURES, RunPlan, moment, plan_read
from logbook.demo.runs import flight_times

TODAY = datetime.date(2026, 6, 1)
PLAN = plan_read()
LIMITS, DRAFT = engine_type_read(PLAN.limits.document), engine_type_read(PLAN.draft.document)
CHARTS = {chart.name: chart for chart in LIMITS.charts}
PEOPLE = {person.username: person for person in PLAN.people}
WORKERS = {name for name, person in PEOPLE.items() if person.role != AUDITOR}


def ids(run: RunPlan) -> str:
    return run.key


def test_there_is_one_person_for_each_role_and_all_who_sign_have_a_certificate() -> None:
    assert [person.role for person in PLAN.people] == [MECHANIC, INSPECTOR, DIRECTOR, AUDITOR]
    numbers = [person.certificate["number"] for person in PLAN.people if person.certificate]
    assert len(set(numbers)) == 3
    assert all(number.startswith("DEMO-") for number in numbers)


def test_everything_says_that_it_is_invented() -> None:
    said = [PLAN.note, PLAN.limits.source, PLAN.draft.source]
    said += [person.note for person in PLAN.people] + [engine.fitted_to for engine in PLAN.engines]
    said += [chart.source for chart in LIMITS.charts + DRAFT.charts]
    said += [area.action.reference for chart in LIMITS.charts for area in chart.areas]
    said += [facts["source"] for facts in PLAN.parts.limits] + [facts["basis"] for facts in PLAN.parts.parts]
    assert [text for text in said if "invented" not in text.lower()] == []


def test_the_draft_tightens_one_chart_and_nothing_else() -> None:
    assert [old.name for old, new in zip(LIMITS.charts, DRAFT.charts, strict=True) if old != new] == ["ITT, running"]
    assert (LIMITS.name, LIMITS.channels, LIMITS.segmentation) == (DRAFT.name, DRAFT.channels, DRAFT.segmentation)
    assert {PLAN.limits.entered_by, PLAN.draft.entered_by} <= WORKERS
    assert PLAN.limits.in_force_from(TODAY) is None
    assert PLAN.draft.in_force_from(TODAY) == datetime.date(2026, 6, 22)


def test_every_task_says_that_it_is_invented() -> None:
    said = [text for task in LIMITS.tasks for text in (task.source, task.reference)]
    said += [facts["method"] for facts in PLAN.tasks.done]
    said += [facts["document"][key] for facts in PLAN.tasks.own for key in ("source", "reference")]
    assert [text for text in said if "invented" not in text.lower()] == []


def test_tasks_are_of_every_kind_and_the_draft_leaves_them() -> None:
    own = [task_document_read(facts["document"]).kind for facts in PLAN.tasks.own]
    assert {task.kind for task in LIMITS.tasks} | set(own) == set(KINDS) - {"other"}
    assert LIMITS.tasks == DRAFT.tasks
    assert (LIMITS.positions, LIMITS.partial_cycles) == (DRAFT.positions, DRAFT.partial_cycles)
    assert {facts["task"] for facts in PLAN.tasks.done} <= {task.name for task in LIMITS.tasks}


def test_charts_are_of_every_shape() -> None:
    assert {chart.side for chart in LIMITS.charts} == {"above", "below"}
    assert {chart.boundary for chart in LIMITS.charts} == {"step", "linear"}
    assert {chart.method for chart in LIMITS.charts} == {"peak", "time_above"}
    assert {chart.on_boundary for chart in LIMITS.charts} == {"within", "beyond"}
    assert {chart.accumulate for chart in LIMITS.charts} == {"excursion", "run"}
    assert all(area.action.steps and area.action.reference for chart in LIMITS.charts for area in chart.areas)


def test_engines_bring_times_and_parts() -> None:
    first, _, third = PLAN.engines
    assert first.opening == Times(run_time_s=7_706_160, time_in_service_s=7_154_280, starts=2011, cycles=1994)
    assert first.overhauled_on(TODAY) == datetime.date(2024, 3, 23)
    assert third.overhauled_on(TODAY) is None
    assert [len(engine.components) for engine in PLAN.engines] == [4, 3, 4]
    parts = [(part.part_number, part.serial) for engine in PLAN.engines for part in engine.components]
    assert len(set(parts)) == len(parts)
    oldest = max(run.started_at(TODAY) for run in PLAN.runs)
    assert all(part.fitted_at(TODAY) < oldest for engine in PLAN.engines for part in engine.components)


def test_one_recorder_needs_its_columns_matched() -> None:
    matched = [engine for engine in PLAN.engines if engine.match]
    assert [engine.serial for engine in matched] == ["RS650-0331"]
    assert set(matched[0].match) == {channel.name for channel in LIMITS.channels} - {"oat", "altitude"}
    assert matched[0].match["itt"] == "T5 deg C"
    assert matched[0].units["oil_temp"] == "degF"
    assert PLAN.engines[0].units == {}


def test_runs_come_in_the_order_of_time_within_sixty_days() -> None:
    times = [run.started_at(TODAY) for run in PLAN.runs]
    assert times == sorted(times)
    assert 40 <= len(times) <= 45
    assert TODAY - datetime.timedelta(days=60) <= times[0].date()
    assert times[-1].date() == TODAY - datetime.timedelta(days=1)


def test_runs_are_known_by_ids_that_stay() -> None:
    assert len({run.id for run in PLAN.runs}) == len({run.seed for run in PLAN.runs}) == len(PLAN.runs)
    assert [run.id for run in plan_read().runs] == [run.id for run in PLAN.runs]
    assert PLAN.runs[0].file_name == f"{PLAN.runs[0].key}.csv"


@pytest.mark.parametrize("run", PLAN.runs, ids=ids)
def test_a_run_states_what_its_scenario_does(run: RunPlan) -> None:
    facts = run.facts(TODAY)
    assert (facts.id, facts.kind, facts.started_at) == (run.id, run.kind, moment(TODAY, run.days_ago, run.clock))
    assert {run.by, *(work.by for work in run.work)} <= WORKERS
    assert {reading.chart for reading in facts.readings} <= set(CHARTS)
    assert (facts.typed_time_in_service_s is not None) == (run.kind == "flight")
    if run.scenario and run.kind == "flight":
        off, down = flight_times(run.scenario["minutes"] * 60.0)
        assert facts.typed_time_in_service_s == pytest.approx(down - off, abs=181)
        assert facts.typed_run_time_s is None  # the trace shows it


def test_one_run_is_known_by_readings_alone_and_one_by_readings_and_a_trace() -> None:
    (typed,) = (run for run in PLAN.runs if run.scenario is None)
    assert typed.trace(TODAY) is None
    assert (typed.facts(TODAY).typed_run_time_s, typed.facts(TODAY).typed_starts) == (3600, 1)
    assert len(typed.readings) == 1
    (both,) = (run for run in PLAN.runs if run.scenario and run.readings)
    assert both.scenario is not None
    assert both.scenario["name"] == "over_torque"


@pytest.mark.parametrize("run", [run for run in PLAN.runs if run.work], ids=ids)
def test_work_is_what_the_limits_call_for(run: RunPlan) -> None:
    (work,) = run.work
    (area,) = (area for area in CHARTS[work.chart].areas if work.rule == f"area {area.name}")
    assert run.started_at(TODAY).date() <= work.completed_on(TODAY) <= TODAY
    assert work.data_reference.startswith(area.action.reference.partition(",")[0])
    assert (work.outcome == "approved") == bool(work.extent)
    needs_second = area.action.required_inspection_item and bool(work.outcome)
    assert bool(work.second_by) == needs_second
    assert work.second_by != work.by


def test_every_fixture_is_read() -> None:
    names = {path.name for path in FIXTURES.glob("*.json")}
    assert names == {
        "operator.json", "people.json", "limits.json", "engines.json", "runs.json", "engine_type.json", "power.json",
        "engine_type_draft.json", "tasks.json", "parts.json", "work.json",
        "corrections.json", "documents.json", "owners.json", "first_starts.json", "programmes.json",
    }  # fmt: skip
    assert json.loads((FIXTURES / "engine_type.json").read_text(encoding="utf-8")) == PLAN.limits.document
