"""The work at the engine on a phone: drafts of an inspection, a handover, and targets for gloves."""

from collections.abc import Callable
from typing import Any

import pytest
from django.urls import reverse
from playwright.sync_api import Locator, Page, expect

from engines.models import Engine
from inspections.actions import HandoverFacts, handover_give, inspection_assign
from inspections.models import Finding, Handover, Inspection
from logbook.models import Person
from tests.harness.waits import forgotten
from tests.logbook.screen_kit import inspection_opened

SignIn = Callable[[Person], Page]
WIDTH, HEIGHT, EDGE = 360, 740, 16
MAIN_TARGET, GAP = 72, 8


@pytest.fixture
def job(at_work: Engine, mechanic: Person) -> Inspection:
    """Return an inspection in the mechanic's hands."""
    return inspection_assign(inspection=inspection_opened(at_work, mechanic), to=mechanic, by=mechanic)


@pytest.fixture
def opened(sign_in: SignIn, live_server: Any, mechanic: Person) -> Callable[..., Page]:
    """Return a function that opens a screen as the mechanic, or as another."""

    def go(name: str, *keys: Any, by: Person = mechanic) -> Page:
        page = sign_in(by)
        page.goto(f"{live_server.url}{reverse(name, args=keys)}")
        return page

    return go


def finding(page: Page) -> Locator:
    """Return the box of a finding."""
    return page.get_by_label("What was found")


def test_a_finding_half_written_outlasts_another_act_and_a_reload(opened: Callable[..., Page], job: Inspection) -> None:
    page = opened("inspection_detail", job.pk)
    page.get_by_text("Record a finding").click()
    finding(page).fill("Nick in blade 7")
    page.get_by_role("button", name="Done", exact=True).first.click()
    expect(page.get_by_role("status").filter(has_text="Step 1 is answered.")).to_be_visible()
    expect(finding(page)).to_have_value("Nick in blade 7")
    page.reload()
    expect(finding(page)).to_have_value("Nick in blade 7")
    page.get_by_role("button", name="Record the finding").click()
    expect(page.get_by_text("The finding is recorded.")).to_be_visible()
    page.reload()
    expect(finding(page)).to_have_value("")
    assert Finding.objects.get().text == "Nick in blade 7"
    forgotten(page)


def test_work_goes_on_where_it_stopped(opened: Callable[..., Page], job: Inspection) -> None:
    page = opened("inspection_detail", job.pk)
    page.get_by_role("button", name="Done", exact=True).first.click()
    expect(page.get_by_role("heading", name="Stopped at step 2")).to_be_visible()
    page.get_by_role("link", name="Go on at step 2").click()
    expect(page.get_by_role("heading", name="2. Check the gauge against a calibrated source")).to_be_in_viewport()


def test_what_is_to_be_signed_outlasts_leaving_the_screen(opened: Callable[..., Page], job: Inspection) -> None:
    page = opened("inspection_sign", job.pk)
    page.get_by_label("What was inspected and done").fill("Hot section looked at")
    page.reload()
    expect(page.get_by_label("What was inspected and done")).to_have_value("Hot section looked at")


def test_a_job_is_handed_over_at_the_engine(
    opened: Callable[..., Page], job: Inspection, inspector: Person, mechanic: Person
) -> None:
    page = opened("handover_list")
    page.get_by_role("link", name="Hand over inspection 1").click()
    page.get_by_label("Done", exact=True).fill("Borescope")
    page.get_by_label("Not done").fill("Gauge check")
    page.get_by_role("button", name="Next").click()
    page.get_by_label("Watch for").fill("Nick in blade 7")
    page.get_by_label("Parts off").fill("Igniter 2, on the bench")
    page.get_by_role("button", name="Next").click()
    page.get_by_label("Told face to face").select_option(label=str(inspector))
    page.get_by_role("button", name="Hand it over").click()
    expect(page.get_by_text(f"Handed over. It is yours until {inspector} takes it.")).to_be_visible()
    forgotten(page)

    page = opened("handover_list", by=inspector)
    page.get_by_role("button", name=f"I, {inspector}, take inspection 1").click()
    expect(page.get_by_text("You have inspection 1 now.")).to_be_visible()
    expect(page.get_by_text(f"In hand with: {inspector}.")).to_be_visible()
    assert Handover.objects.get().taking.by == inspector


def apart(a: dict[str, float], b: dict[str, float]) -> float:
    """Return how far two boxes stand from each other. [px]"""
    across = max(a["x"] - (b["x"] + b["width"]), b["x"] - (a["x"] + a["width"]))
    down = max(a["y"] - (b["y"] + b["height"]), b["y"] - (a["y"] + a["height"]))
    return max(across, down)


def test_targets_stand_apart_and_the_main_act_is_wide_and_within_reach(
    opened: Callable[..., Page], job: Inspection, *, mechanic: Person, inspector: Person, live_server: Any
) -> None:
    facts = HandoverFacts("none", "none", "none", "none")
    handover_give(inspection=job, facts=facts, told_to=mechanic, by=inspector)
    keys = {
        "engine_detail": [job.engine_id],
        "run_record": [job.engine_id],
        "run_timer": [job.engine_id],
        "run_detail": [job.run_id],
        "inspection_detail": [job.pk],
        "inspection_sign": [job.pk],
        "handover_list": [],
        "handover_give": [job.pk],
    }
    page = opened("handover_list")
    wrong: dict[str, list[str]] = {}
    for name, args in keys.items():
        page.goto(f"{live_server.url}{reverse(name, args=args)}")
        page.wait_for_load_state("networkidle")
        wrong[name] = [*too_near(page), *not_in_reach(page)]
    assert {name: found for name, found in wrong.items() if found} == {}


def too_near(page: Page) -> list[str]:
    """Return the acts in view that stand nearer to another than a glove allows."""
    acts = page.locator("main button:visible, main a.act:visible, main a.main-act:visible").all()
    boxes = [(act.inner_text(), act.bounding_box()) for act in acts]
    pairs = [(a, b) for k, a in enumerate(boxes) for b in boxes[k + 1 :]]
    return [f"{a[0]} and {b[0]}" for a, b in pairs if a[1] and b[1] and apart(a[1], b[1]) < GAP - 0.5]


def not_in_reach(page: Page) -> list[str]:
    """Return the main acts that are not full width, not tall, or not in the lower half when scrolled to."""
    found = []
    for act in page.locator("main .main-act:visible").all():
        act.evaluate("node => node.scrollIntoView({block: 'end'})")
        box = act.bounding_box()
        is_right = box["width"] >= WIDTH - 2 * EDGE - 34 and box["height"] >= MAIN_TARGET
        if not is_right or box["y"] + box["height"] / 2 < HEIGHT / 2:
            found.append(f"{act.inner_text()}: {box}")
    return found
