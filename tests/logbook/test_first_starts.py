"""First-start plans: asked for by what was done, carried through, signed, and what holds the engine until then."""

import uuid
from datetime import date, timedelta
from typing import Any

import pytest
from django.utils import timezone

from engines.actions import plan_end, plan_open, run_void, step_record
from engines.actions.first_starts import plan_open_on
from engines.actions.parts import Fitting, Removal, component_add
from engines.actions.tasks import Accomplishment, task_add
from engines.errors import DomainError
from engines.evidence import RunFacts
from engines.first_starts import Trigger
from engines.models import Component, Engine, FirstStart, FirstStartEnd, Operator, Run
from engines.queries import engine_times
from engines.standing import standings_of
from inspections.models import StartRecord
from inspections.queries import condition_of
from logbook.actions import run_enter, trace_enter
from logbook.conditions import conditions_of
from logbook.first_start_runs import motoring_since, runs_offered
from logbook.first_starts import StepSaid, first_start_body, first_start_sign, step_enter
from logbook.maintenance.rules import rules_choose
from logbook.models import Concern, Entry, Person
from logbook.part_acts import part_fit_sign, part_move_sign
from logbook.starter import rest_words
from logbook.task_acts import task_sign
from tests.engines.first_starts_kit import CLEAN, DRY, FLAME_OUT, LEAKS, MANUAL, UNLIT
from tests.factories import RunFactory
from tests.first_starts import GOOD, asks_for_first_starts, carried_through, covering, recorded
from tests.runs import trace_file
from tests.signed import signing_of

NOW = timezone.now
COMPLETED, NOT_CALLED = FirstStartEnd.Outcome.COMPLETED, FirstStartEnd.Outcome.NOT_CALLED_FOR
BLED = Trigger("by_hand", "Fuel system bled")


@pytest.fixture
def asking(engine: Engine) -> Engine:
    """Return an engine whose type asks for a first start."""
    return asks_for_first_starts(engine)


@pytest.fixture
def plan(asking: Engine, director: Person) -> FirstStart:
    """Return a plan that was opened by hand an hour ago."""
    at = NOW() - timedelta(hours=1)
    return plan_open(engine=asking, trigger=BLED, reason="Filter changed", by=director, at=at)


@pytest.fixture
def signer(mechanic: Person, director: Person) -> Person:
    """Return a mechanic whose certificate covers maintenance under the operator's rules."""
    rules_choose(by=director, ruleset="us")
    return covering(mechanic, "powerplant")


def reasons(engine: Engine) -> tuple[str, ...]:
    """Return what holds an engine."""
    return conditions_of([engine])[engine.pk].reasons


def part(operator: Operator, number: str) -> Component:
    """Return a new part."""
    return component_add(operator=operator, part_number=number, serial="1", opening_basis="new")


def refused(code: str) -> Any:
    """Return a check that a refusal carries a code."""
    return pytest.raises(DomainError, check=lambda error: error.code == code)


def test_a_part_fitted_in_the_place_that_the_type_names_opens_a_plan(asking: Engine, mechanic: Person) -> None:
    assert conditions_of([asking])[asking.pk].is_serviceable
    control = part(asking.operator, "FC-1")
    at = NOW() - timedelta(hours=2)
    fitting = Fitting(at, asking, position="Fuel control")
    # "Fuel control" is a place within the gas generator: without one it is fitted to a module of that place.
    module = part(asking.operator, "GG-1")
    part_fit_sign(component=module, fitting=Fitting(at, asking, position="Gas generator"), by=mechanic,
                  signing=signing_of(mechanic))  # fmt: skip
    assert plan_open_on(asking) is None
    within = Fitting(fitting.at + timedelta(hours=1), parent=module, position="Fuel control")
    part_fit_sign(component=control, fitting=within, by=mechanic, signing=signing_of(mechanic))
    plan = FirstStart.objects.get()
    assert (plan.engine, plan.cause.when, plan.cause.reason) == (asking, "part_fitted", f"{control} was fitted.")
    assert reasons(asking) == ("First start not completed: A part was fitted at “Fuel control”",)
    assert condition_of(asking).is_serviceable  # what holds it is put together at the top


def test_a_module_brings_the_part_that_sits_in_it(asking: Engine, mechanic: Person) -> None:
    module, control = part(asking.operator, "GG-1"), part(asking.operator, "FC-1")
    at, signing = NOW() - timedelta(hours=2), signing_of(mechanic)
    fitted = {"by": mechanic, "signing": signing}
    part_fit_sign(component=control, fitting=Fitting(at, parent=module, position="Fuel control"), **fitted)
    assert not FirstStart.objects.exists()
    later = at + timedelta(minutes=5)
    part_fit_sign(component=module, fitting=Fitting(later, asking, position="Gas generator"), **fitted)
    assert FirstStart.objects.get().cause.at == later
    there, again = later + timedelta(minutes=5), later + timedelta(minutes=6)
    part_move_sign(
        component=control,
        removal=Removal(there, is_temporary=True, place="bench"),
        fitting=Fitting(again, parent=module, position="Fuel control"),
        **fitted,
    )
    plan = FirstStart.objects.get()
    assert [cause.at for cause in plan.causes.all()] == [later, again]


def test_a_task_that_the_type_names_opens_a_plan(asking: Engine, mechanic: Person) -> None:
    today = timezone.localdate()
    document = {"name": "Return from preservation", "kind": "preservation", "mandatory": False}
    document |= {"repeat": {"months": 6}, "source": "invented"}
    task_add(engine=asking, document=document, begins_on=today, by=mechanic)
    said = Accomplishment("done", today, "Inhibitor washed out")
    task_sign(standing=standings_of([asking])[asking.pk][0], said=said, by=mechanic, signing=signing_of(mechanic))
    plan = FirstStart.objects.get()
    assert (plan.cause.text, timezone.localtime(plan.cause.at).hour) == ("“Return from preservation” was done", 0)
    assert timezone.localdate(plan.cause.at) == today


def test_what_the_type_does_not_name_opens_nothing(engine: Engine, mechanic: Person, director: Person) -> None:
    fitting = Fitting(NOW() - timedelta(hours=1), engine)
    part_fit_sign(component=part(engine.operator, "FC-1"), fitting=fitting, by=mechanic, signing=signing_of(mechanic))
    assert not FirstStart.objects.exists()
    with refused("no_first_start"):
        plan_open(engine=engine, trigger=None, reason="Bled", by=director)


def test_by_hand_it_takes_a_reason(asking: Engine, director: Person) -> None:
    with refused("text_missing"):
        plan_open(engine=asking, trigger=BLED, reason=" ", by=director)
    opened = plan_open(engine=asking, trigger=None, reason="Stood in the rain", by=director)
    assert (opened.cause.text, opened.cause.reason) == ("Asked for by hand", "Stood in the rain")
    asking.left_at = NOW()
    asking.save()
    with refused("engine_left"):
        plan_open(engine=asking, trigger=BLED, reason="Bled", by=director)


def test_standing_longer_than_the_type_says_holds_the_engine(mechanic: Person) -> None:
    engine = asks_for_first_starts(RunFactory.create(started_at=NOW() - timedelta(days=31), starts=1).engine)
    words = (
        "First start not completed: It has stood for 31 days, and its type asks for a first start after more than 30"
    )
    assert reasons(engine) == (words,)
    RunFactory.create(engine=engine, kind="dry_motoring", started_at=NOW() - timedelta(days=2))
    assert reasons(engine) == (words,)  # motoring is no run in which it burned fuel
    run = run_enter(engine=engine, facts=RunFacts(uuid.uuid4(), "ground_run", NOW(), typed_starts=1), by=mechanic)
    assert FirstStart.objects.get(engine=engine).cause.when == "stood"
    concern = Concern.objects.get(run=run, kind="first")
    assert concern.text.startswith("when the run began: First start not completed: It has stood for 31 days")
    assert reasons(engine) == ("First start not completed: The engine stood longer than 30 days",)


def test_history_that_is_typed_in_opens_no_plan_but_is_put_to_the_director(asking: Engine, mechanic: Person) -> None:
    RunFactory.create(engine=asking, started_at=NOW() - timedelta(days=90), starts=1)
    late = RunFacts(uuid.uuid4(), "flight", NOW() - timedelta(days=20), typed_starts=1)
    run_enter(engine=asking, facts=late, by=mechanic)
    assert not FirstStart.objects.exists()
    assert Concern.objects.filter(kind="first").count() == 1


def test_a_plan_goes_from_step_to_step_each_by_a_run_of_its_kind(plan: FirstStart, mechanic: Person) -> None:
    recorded(plan, DRY, GOOD, mechanic, typed_starter_s=20.0)
    line = recorded(plan, MANUAL, FLAME_OUT, mechanic, typed_starts=1, typed_run_time_s=120)
    assert (line.run.kind, line.is_done) == ("first_start", False)
    again = recorded(plan, MANUAL, UNLIT, mechanic)
    assert FirstStart.objects.get().progress.step.name == DRY
    assert again.run.starts == 0
    times = engine_times(plan.engine)
    assert (times.starts, times.run_time_s) == (1, 120)
    assert not Concern.objects.filter(kind="first").exists()  # the plan's own runs are no runs before it was completed


def test_what_is_not_in_turn_or_not_of_the_step_is_refused(plan: FirstStart, mechanic: Person, asking: Engine) -> None:
    with refused("step_not_in_turn"):
        recorded(plan, MANUAL, CLEAN, mechanic)
    with refused("ending_unknown"):
        recorded(plan, DRY, "Blown", mechanic)
    assert not Run.objects.exists()  # what was stated of the run went with it
    with refused("run_not_of_step"):
        step_record(plan=plan, step=DRY, ending=GOOD, by=mechanic)
    runs = {
        "recorded as ground run": RunFactory.create(engine=asking, started_at=NOW()),
        "began before the plan was asked for": RunFactory.create(
            engine=asking, kind="dry_motoring", started_at=NOW() - timedelta(hours=2)
        ),
        "another engine's": RunFactory.create(kind="dry_motoring", started_at=NOW()),
    }
    for words, run in runs.items():
        with pytest.raises(DomainError, match=words):
            step_record(plan=plan, step=DRY, ending=GOOD, by=mechanic, run=run)
    fits = RunFactory.create(engine=asking, kind="dry_motoring", started_at=NOW())
    assert list(runs_offered(plan)) == [fits]
    step_enter(plan=plan, said=StepSaid(DRY, "Not as it should be", run=fits), by=mechanic)
    plan = FirstStart.objects.get()
    assert list(runs_offered(plan)) == []
    with pytest.raises(DomainError, match="recorded of a step before"):
        step_record(plan=plan, step=DRY, ending=GOOD, by=mechanic, run=fits)


def test_a_check_is_done_by_no_run(plan: FirstStart, mechanic: Person, asking: Engine) -> None:
    for step, ending in ((DRY, GOOD), (MANUAL, CLEAN), (MANUAL, CLEAN), ("Automatic start", "Started")):
        recorded(plan, step, ending, mechanic)
    run = RunFactory.create(engine=asking, started_at=NOW())
    with pytest.raises(DomainError, match="A check is done by no run"):
        step_record(plan=plan, step=LEAKS, ending=GOOD, by=mechanic, run=run)
    recorded(plan, LEAKS, GOOD, mechanic)
    plan = FirstStart.objects.get()
    assert plan.progress.step is None
    assert list(runs_offered(plan)) == []
    with pytest.raises(DomainError, match="every step of it is done"):
        recorded(plan, LEAKS, GOOD, mechanic)


def test_what_asks_again_begins_the_steps_again(plan: FirstStart, mechanic: Person, director: Person) -> None:
    recorded(plan, DRY, GOOD, mechanic)
    again = plan_open(engine=plan.engine, trigger=BLED, reason="Bled once more", by=director)
    assert again == plan
    assert [line.step for line in again.lines.all()] == [DRY]
    assert (again.standing_lines, again.progress.done) == ([], 0)


def test_a_run_that_was_made_void_takes_its_step_back(plan: FirstStart, mechanic: Person) -> None:
    line = recorded(plan, DRY, GOOD, mechanic)
    assert FirstStart.objects.get().progress.done == 1
    run_void(run=line.run, why="Another engine's", by=mechanic)
    assert FirstStart.objects.get().progress.done == 0


def test_a_run_as_usual_is_recorded_all_the_same_and_put_to_the_director(plan: FirstStart, mechanic: Person) -> None:
    usual = run_enter(engine=plan.engine, facts=RunFacts(uuid.uuid4(), "flight", NOW(), typed_starts=1), by=mechanic)
    concern = Concern.objects.get(run=usual)
    assert concern.get_kind_display() == "Run before a first start was completed"
    assert concern.text == "when the run began: First start not completed: Fuel system bled"
    before = NOW() - timedelta(hours=3)
    earlier = run_enter(engine=plan.engine, facts=RunFacts(uuid.uuid4(), "flight", before), by=mechanic)
    assert not Concern.objects.filter(run=earlier).exists()


def test_it_holds_the_engine_until_it_is_signed(plan: FirstStart, signer: Person) -> None:
    plan = carried_through(plan, signer)
    assert reasons(plan.engine) == ("First start not completed: Fuel system bled",)
    signing, today = signing_of(signer), timezone.localdate()
    entry = first_start_sign(plan=plan, outcome=COMPLETED, on=today, by=signer, signing=signing, remarks="Cold day")
    assert reasons(plan.engine) == ()
    assert (entry.kind, entry.engine, entry.completed_on) == (Entry.Kind.FIRST_START, plan.engine, today)
    assert entry.body["title"] == "First-start plan completed"
    rows = dict(entry.body["first_start"]["rows"])
    assert rows["How it ended"] == "Completed"
    assert "Fuel system bled" in rows["Asked for"]
    assert [line[1:3] for line in entry.body["first_start"]["lines"]][0] == [DRY, GOOD]
    assert len(entry.body["first_start"]["lines"]) == 5
    assert plan.end.signed.entry == entry
    with refused("plan_ended"):
        plan_end(plan=plan, outcome=COMPLETED, on=today, by=signer)
    flown = run_enter(engine=plan.engine, facts=RunFacts(uuid.uuid4(), "flight", NOW(), typed_starts=1), by=signer)
    assert not Concern.objects.filter(run=flown).exists()


def test_only_what_is_complete_ends_so_and_on_a_day_that_can_be(plan: FirstStart, signer: Person) -> None:
    said = {"plan": plan, "by": signer}
    today = timezone.localdate()
    with refused("step_not_in_turn"):
        plan_end(outcome=COMPLETED, on=today, **said)
    with refused("outcome_unknown"):
        plan_end(outcome="perhaps", on=today, **said)
    with refused("text_missing"):
        plan_end(outcome=NOT_CALLED, on=today, **said)
    for on in (date(2020, 1, 1), today + timedelta(days=1)):
        with refused("date_impossible"):
            plan_end(outcome=NOT_CALLED, on=on, remarks="Opened in error", **said)


def test_a_signer_has_to_be_entitled(plan: FirstStart, mechanic: Person, director: Person) -> None:
    plan = carried_through(plan, mechanic)
    said: dict[str, Any] = {"plan": plan, "outcome": COMPLETED, "on": timezone.localdate(), "by": mechanic}
    with refused("rules_missing"):
        first_start_sign(signing=signing_of(mechanic), **said)
    rules_choose(by=director, ruleset="us")
    with refused("certificate_does_not_cover"):
        first_start_sign(signing=signing_of(mechanic), **said)
    covering(mechanic, "running")  # entitles to run engines, and to sign nothing
    with refused("certificate_does_not_cover"):
        first_start_sign(signing=signing_of(mechanic), **said)
    with refused("certificate_not_valid"):
        first_start_sign(signing=signing_of(director), **said)
    mechanic.certificates.all().delete()
    with refused("certificate_not_valid"):
        first_start_sign(signing=signing_of(mechanic), **said)
    assert not FirstStartEnd.objects.exists()


def test_only_an_inspector_or_the_director_sets_a_plan_aside(
    plan: FirstStart, signer: Person, director: Person
) -> None:
    said: dict[str, Any] = {"plan": plan, "outcome": NOT_CALLED, "on": timezone.localdate(), "remarks": "In error"}
    with refused("role_may_not"):
        first_start_sign(by=signer, signing=signing_of(signer), **said)
    covering(director, "powerplant")
    entry = first_start_sign(by=director, signing=signing_of(director), **said)
    assert entry.body["title"] == "First-start plan not called for"
    assert ["Remarks", "In error"] in entry.body["first_start"]["rows"]
    assert conditions_of([plan.engine])[plan.engine_id].is_serviceable


def test_the_text_signed_is_the_text_read(plan: FirstStart, signer: Person) -> None:
    plan = carried_through(plan, signer)
    said: dict[str, Any] = {"plan": plan, "outcome": COMPLETED, "on": timezone.localdate(), "by": signer}
    with refused("text_changed"):
        first_start_sign(signing=signing_of(signer), read="0" * 64, **said)
    end = FirstStartEnd(plan=plan, outcome=COMPLETED, on=timezone.localdate())
    assert first_start_body(plan, end)["kind"] == "first_start_plan"


def test_motoring_is_no_start_and_counts_against_the_starter(asking: Engine, mechanic: Person) -> None:
    revision = asking.engine_type.revisions.get()
    revision.document["starter"] = {"duty_cycle": [{"most_s": 30, "rest_s": 1800}]}
    revision.save()
    at = NOW() - timedelta(minutes=5)
    facts = RunFacts(uuid.uuid4(), "wet_motoring", at, typed_starter_s=35.0)
    run = run_enter(engine=asking, facts=facts, by=mechanic)
    assert (run.starts, run.run_time_s, run.cycles) == (0, 0, 0)
    start = StartRecord.objects.get(judgement__run=run)
    assert (start.outcome, start.figures["starter_s"], start.figures["starter_off_s"]) == ("motoring", 0.0, 35.0)
    asked = rest_words(asking, revision.data, NOW())
    assert asked.startswith("Turn 1 of the starter's duty cycle: engaged for 35.0 s, and the type asks for no more")
    assert "The type asks for rest until" in asked
    for kind in ("dry_motoring", "wet_motoring", "motoring"):
        with pytest.raises(DomainError) as error:
            run_enter(engine=asking, facts=RunFacts(uuid.uuid4(), kind, NOW(), typed_starts=1), by=mechanic)
        assert list(error.value.fields) == ["typed_starts"]
    revision.document["motoring"] = {"counts": ["starts"]}
    revision.save()
    counted = run_enter(engine=asking, facts=RunFacts(uuid.uuid4(), "dry_motoring", NOW(), typed_starts=1), by=mechanic)
    assert counted.starts == 1


def test_a_light_off_in_what_was_stated_as_motoring_is_put_to_the_director(asking: Engine, mechanic: Person) -> None:
    run = run_enter(engine=asking, facts=RunFacts(uuid.uuid4(), "dry_motoring", NOW()), by=mechanic)
    n1 = [0.0, 10.0, 20.0, 40.0, 60.0, 65.0, 65.0, 20.0, 0.0]
    itt = [20.0, 20.0, 120.0, 400.0, 500.0, 500.0, 500.0, 300.0, 200.0]
    trace_enter(run=run, file=trace_file(itt, n1), name="run.csv", by=mechanic)
    run.refresh_from_db()
    assert run.starts == 1  # what burned counts, whatever it was called
    said = Concern.objects.get(run=run, kind="evidence")
    assert said.text == "it was stated to be dry motoring, the trace shows 1 light-off"


def test_motoring_runs_besides_the_steps_are_told(plan: FirstStart, mechanic: Person, signer: Person) -> None:
    wet = run_enter(engine=plan.engine, facts=RunFacts(uuid.uuid4(), "wet_motoring", NOW()), by=mechanic)
    recorded(plan, DRY, GOOD, mechanic)
    assert list(motoring_since(plan)) == [wet]
    plan = FirstStart.objects.get()
    for step, ending in ((MANUAL, CLEAN), (MANUAL, CLEAN), ("Automatic start", "Started"), (LEAKS, GOOD)):
        recorded(plan, step, ending, mechanic)
    plan = FirstStart.objects.get()
    first_start_sign(plan=plan, outcome=COMPLETED, on=timezone.localdate(), by=signer, signing=signing_of(signer))
    assert list(motoring_since(FirstStart.objects.get())) == [wet]


def supervised(trainee: str, supervisor: Person | None) -> RunFacts:
    """Return a ground run of today by two people."""
    return RunFacts(uuid.uuid4(), "ground_run", NOW(), trainee=trainee, supervisor=supervisor)


def test_a_supervised_start_records_both_people(engine: Engine, mechanic: Person, director: Person) -> None:
    with refused("supervisor_not_entitled"):
        run_enter(engine=engine, facts=supervised("Wren Ashdown", director), by=mechanic)
    covering(director, "running")
    run = run_enter(engine=engine, facts=supervised("Wren Ashdown", director), by=mechanic)
    run.refresh_from_db()
    assert (run.trainee, run.supervisor) == ("Wren Ashdown", director)
    director.certificates.update(valid_until=timezone.localdate() - timedelta(days=1))
    with refused("supervisor_not_entitled"):
        run_enter(engine=engine, facts=supervised("Wren Ashdown", director), by=mechanic)


def test_one_of_two_people_is_not_enough(engine: Engine, mechanic: Person, director: Person, stranger: Person) -> None:
    covering(director, "running")
    cases = [
        ("Wren Ashdown", None, "supervision_incomplete"),
        ("", director, "supervision_incomplete"),
        (f" {str(director).upper()}", director, "second_person_needed"),
        ("Wren Ashdown", stranger, "not_of_operator"),
    ]
    for trainee, supervisor, code in cases:
        with refused(code):
            run_enter(engine=engine, facts=supervised(trainee, supervisor), by=mechanic)
