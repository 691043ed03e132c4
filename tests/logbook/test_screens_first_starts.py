"""First-start plans on the screen: opened, carried through step by step, read and signed, and printed."""

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engines.actions import plan_end, plan_open
from engines.first_starts import Trigger
from engines.models import Engine, FirstStart, Run
from logbook.maintenance.rules import rules_choose
from logbook.models import Entry, Person
from tests.engines.first_starts_kit import CLEAN, DRY, FLAME_OUT, MANUAL, UNLIT
from tests.factories import RunFactory
from tests.first_starts import GOOD, asks_for_first_starts, carried_through, covering, recorded
from tests.logbook.screen_kit import signed_in, words
from tests.logbook.test_screens_start import pdf_words

PASSWORD = "only for tests"


@pytest.fixture
def asking(engine: Engine) -> Engine:
    """Return an engine whose type asks for a first start."""
    return asks_for_first_starts(engine)


@pytest.fixture
def plan(asking: Engine, director: Person) -> FirstStart:
    """Return a plan that was opened by hand an hour ago."""
    at = timezone.now() - timedelta(hours=1)
    bled = Trigger("by_hand", "Fuel system bled")
    return plan_open(engine=asking, trigger=bled, reason="Filter changed", by=director, at=at)


def stated(**changes: Any) -> dict[str, Any]:
    """Return the sheet of a step that was done by a run, just now."""
    began = timezone.localtime().strftime("%Y-%m-%dT%H:%M")
    return {"id": str(uuid4()), "started_at": began, "ending": GOOD, "starter": "20"} | changes


def test_the_engine_page_says_why_and_leads_to_the_plan(client: Client, plan: FirstStart, mechanic: Person) -> None:
    page = signed_in(client, mechanic).get(reverse("engine_detail", args=[plan.engine_id]))
    assert "Unserviceable" in words(page)
    assert "First start not completed: Fuel system bled" in words(page)
    assert reverse("first_start_list", args=[plan.engine_id]) in page.content.decode()
    listed = words(client.get(reverse("first_start_list", args=[plan.engine_id])))
    assert "Not completed Fuel system bled" in listed
    assert "Step 1 of 4 is in turn: Dry motoring." in listed
    assert "The engine stood longer than 30 days" in listed
    assert "Open a plan by hand" not in listed  # an inspector or the director does


def test_a_type_without_one_says_so(client: Client, engine: Engine, director: Person) -> None:
    listed = words(signed_in(client, director).get(reverse("first_start_list", args=[engine.pk])))
    assert "The document of this engine's type asks for no first start." in listed


def test_the_director_opens_one_by_hand_with_a_reason(client: Client, asking: Engine, director: Person) -> None:
    address = reverse("first_start_list", args=[asking.pk])
    refused = signed_in(client, director).post(address, {"trigger": "4", "reason": ""})
    assert refused.status_code == 422
    assert "Say why it is asked for." in words(refused)
    page = words(client.post(address, {"trigger": "4", "reason": "Filter changed"}, follow=True))
    assert "Unserviceable: first start not completed" in page
    assert "Fuel system bled" in page
    client.post(address, {"trigger": "other", "reason": "Stood in the rain"})
    assert FirstStart.objects.get().cause.text == "Asked for by hand"


def test_an_engine_that_stood_says_so(client: Client, asking: Engine, mechanic: Person) -> None:
    RunFactory.create(engine=asking, started_at=timezone.now() - timedelta(days=40), starts=1)
    listed = words(signed_in(client, mechanic).get(reverse("first_start_list", args=[asking.pk])))
    assert "First start not completed. It has stood for 40 days" in listed


def test_the_cautions_come_before_the_step(client: Client, plan: FirstStart, mechanic: Person) -> None:
    page = words(signed_in(client, mechanic).get(reverse("first_start_detail", args=[plan.pk])))
    assert page.index("Fuel and ignition off at once") < page.index("How did it end?")


def test_a_step_is_recorded_as_a_run_of_its_own(client: Client, plan: FirstStart, mechanic: Person) -> None:
    address = reverse("first_start_detail", args=[plan.pk])
    page = words(signed_in(client, mechanic).post(address, stated(), follow=True))
    assert "Dry motoring: As it should be is recorded." in page
    assert "step 2 of 4 is in turn: Manual-fuel start and transfer" in page.replace("Step 2", "step 2")
    assert "Starter engaged 20 s." in page
    run = Run.objects.get()
    assert (run.kind, run.typed_starter_s, run.starts, run.unsigned.recorded_by) == ("dry_motoring", 20, 0, mechanic)


def test_an_attempt_that_lit_needs_its_run_time_and_is_a_start(
    client: Client, plan: FirstStart, mechanic: Person
) -> None:
    recorded(plan, DRY, GOOD, mechanic)
    address = reverse("first_start_detail", args=[plan.pk])
    refused = signed_in(client, mechanic).post(address, stated(ending=FLAME_OUT))
    assert refused.status_code == 422
    assert "It lit up: give the run time" in words(refused)
    page = words(client.post(address, stated(ending=FLAME_OUT, run_time="0,1"), follow=True))
    assert "Flame-out at the transfer: Shut down and repeat." in page
    run = Run.objects.get(kind="first_start")
    assert (run.starts, run.run_time_s) == (1, 360)
    client.post(address, stated(ending=UNLIT))
    assert Run.objects.filter(kind="first_start").order_by("recorded_at").last().starts == 0  # type: ignore[union-attr]
    assert FirstStart.objects.get().progress.step.name == DRY  # type: ignore[union-attr]


def test_what_is_missing_is_said_beside_its_box(client: Client, plan: FirstStart, mechanic: Person) -> None:
    address = reverse("first_start_detail", args=[plan.pk])
    page = words(signed_in(client, mechanic).post(address, stated(ending="", started_at="")))
    assert "Choose how it ended." in page
    assert "Give the day and the time at which it began." in page
    ahead = (timezone.localtime() + timedelta(days=1)).strftime("%Y-%m-%dT%H:%M")
    assert "That is still to come." in words(client.post(address, stated(started_at=ahead)))


def test_a_run_that_is_recorded_already_is_named(client: Client, plan: FirstStart, mechanic: Person) -> None:
    run = RunFactory.create(engine=plan.engine, kind="dry_motoring", started_at=timezone.now())
    address = reverse("first_start_detail", args=[plan.pk])
    signed_in(client, mechanic).post(address, {"id": str(uuid4()), "ending": GOOD, "run": str(run.pk), "starter": ""})
    assert FirstStart.objects.get().lines.get().run == run
    assert Run.objects.count() == 1


def test_two_people_of_a_start_are_shown_with_it(
    client: Client, plan: FirstStart, mechanic: Person, director: Person
) -> None:
    address = reverse("first_start_detail", args=[plan.pk])
    people = {"trainee": "Wren Ashdown", "supervisor": str(director.pk)}
    signed_in(client, mechanic).post(address, stated(**people))
    assert not Run.objects.exists()  # no certificate of the director's covers it yet, so they can't be chosen
    covering(director, "running")
    page = words(client.post(address, stated(**people), follow=True))
    assert f"Started by Wren Ashdown, trainee, supervised by {director}." in page
    run = words(client.get(reverse("run_detail", args=[Run.objects.get().pk])))
    assert f"Started by Wren Ashdown, trainee Supervised by {director}" in run
    assert "Starter engaged 20 s" in run


def test_the_run_sheet_takes_both_people_and_the_starter(
    client: Client, engine: Engine, mechanic: Person, director: Person
) -> None:
    covering(director, "running")
    sheet = {"id": str(uuid4()), "kind": "wet_motoring", "starter": "15", "trainee": "Wren Ashdown"}
    sheet |= {"started_at": timezone.localtime().strftime("%Y-%m-%dT%H:%M")}
    address = reverse("run_record", args=[engine.pk])
    refused = words(signed_in(client, mechanic).post(address, sheet))
    assert "Wren Ashdown is named as a trainee: name who supervised." in refused
    counted = words(client.post(address, sheet | {"supervisor": str(director.pk), "starts": "1"}))
    assert "is counted of no motoring run of this type; leave it empty" in counted
    client.post(address, sheet | {"supervisor": str(director.pk)})
    run = Run.objects.get()
    assert (run.kind, run.typed_starter_s, run.trainee, run.supervisor) == (
        "wet_motoring", 15, "Wren Ashdown", director,
    )  # fmt: skip


def test_a_correction_keeps_and_changes_the_two_people(
    client: Client, engine: Engine, mechanic: Person, director: Person
) -> None:
    covering(director, "running")
    run = RunFactory.create(
        engine=engine, recorded_by=mechanic, trainee="Wren Ashdown", supervisor=director, typed_starter_s=12.5
    )
    page = signed_in(client, mechanic).get(reverse("run_correct", args=[run.pk])).content.decode()
    assert 'value="Wren Ashdown"' in page
    assert 'value="12.5"' in page
    assert f'<option value="{director.pk}" selected>' in page


def test_it_is_read_and_signed(client: Client, plan: FirstStart, mechanic: Person, director: Person) -> None:
    rules_choose(by=director, ruleset="us")
    covering(mechanic, "powerplant")
    carried_through(plan, mechanic)
    shown = words(signed_in(client, mechanic).get(reverse("first_start_detail", args=[plan.pk])))
    assert "Read and sign: the plan is complete" in shown
    address = reverse("first_start_sign", args=[plan.pk])
    assert "every step is done" in words(client.get(address))
    sheet = {
        "outcome": "completed",
        "on": timezone.localdate().isoformat(),
        "remarks": "Cold day",
        "certificate": str(mechanic.certificates.get().pk),
    }
    read = client.post(address, sheet)
    assert "The first-start plan" in words(read)
    assert not Entry.objects.exists()
    signed = client.post(
        address, {**sheet, "stage": "sign", "read": read.context["read"], "password": PASSWORD}, follow=True
    )
    entry = Entry.objects.get()
    assert "Signed: entry 1" in words(signed)
    assert "Manual-fuel start and transfer" in words(signed)
    done = words(client.get(reverse("first_start_detail", args=[plan.pk])))
    assert f"Completed, entry {entry.number}" in done
    assert "How did it end?" not in done
    assert "This plan has ended" in words(client.get(address))
    printed = pdf_words(client.get(reverse("entry_print", args=[entry.number])))
    assert "Manual-fuel start and transfer" in printed
    assert "Transferred cleanly" in printed


def test_the_plan_prints(client: Client, plan: FirstStart, mechanic: Person, auditor: Person) -> None:
    empty = pdf_words(signed_in(client, auditor).get(reverse("first_start_print", args=[plan.pk])))
    assert "Nothing is recorded yet" in empty
    recorded(plan, DRY, GOOD, mechanic, typed_starter_s=20.0)
    recorded(plan, MANUAL, CLEAN, mechanic, trainee="")
    RunFactory.create(engine=plan.engine, kind="wet_motoring", started_at=timezone.now(), typed_starter_s=10)
    printed = pdf_words(client.get(reverse("first_start_print", args=[plan.pk])))
    assert "First-start plan" in printed
    assert "Not completed: step 2 of 4 is in turn" in printed
    assert "Motoring besides" in printed
    assert "Starter engaged 10 s." in printed
    assert "not signed" in printed


def test_a_plan_that_ended_with_another_owner_says_so(client: Client, plan: FirstStart, director: Person) -> None:
    today = timezone.localdate()
    plan_end(plan=plan, outcome="not_called_for", on=today, by=director, remarks="In error")
    page = words(signed_in(client, director).get(reverse("first_start_detail", args=[plan.pk])))
    assert "Not called for, signed in the record of the owner before" in page
    printed = pdf_words(client.get(reverse("first_start_print", args=[plan.pk])))
    assert f"by the owner before, {today}" in printed


def test_nobody_sees_another_operators_plan(client: Client, plan: FirstStart, stranger: Person) -> None:
    signed_in(client, stranger)
    for name in ("first_start_detail", "first_start_sign", "first_start_print"):
        assert client.get(reverse(name, args=[plan.pk])).status_code == 404
