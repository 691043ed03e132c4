"""A run's sheet on a phone: walked through part by part, and nothing typed is ever lost."""

import json
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, Route, expect

from engines.models import Engine, Run
from logbook.models import Person
from tests.factories import RunFactory
from tests.harness.waits import forgotten, pressed_until

SignIn = Callable[[Person], Page]
MAIN_TARGET, TARGET, GAP, HEIGHT = 72, 48, 8, 740


def opened(page: Page, engine: Engine) -> Page:
    """Open the sheet from the engine's card."""
    page.get_by_role("link", name=f"Record a run of {engine.serial}").click()
    page.wait_for_url("**/record/")  # and for all that it loads
    return page


def part_of(page: Page) -> Locator:
    """Return the part of the sheet in view."""
    return page.locator("[data-step]:visible")


def go_to(page: Page, box: Locator) -> None:
    """Press Next until a box is in view, once the sheet is walked: before that all of it is in view."""
    page.locator("form.walked").wait_for()
    pressed_until(box.is_visible, page.get_by_role("button", name="Next").click)


def drafts(page: Page) -> list[str]:
    """Return the names under which drafts are kept on the device."""
    return page.evaluate("Object.keys(localStorage).filter((key) => key.startsWith('draft:'))")


def test_each_part_asks_at_most_three_things(sign_in: SignIn, at_work: Engine, mechanic: Person) -> None:
    page = opened(sign_in(mechanic), at_work)
    parts = 0
    while parts <= 20:
        parts += 1
        boxes = part_of(page).locator(
            "input:not([type=hidden], [type=checkbox], [type=radio]), textarea, fieldset.field"
        )
        expect(part_of(page)).to_have_count(1)
        assert boxes.count() <= 3
        if not page.get_by_role("button", name="Next").is_visible():
            break
        page.get_by_role("button", name="Next").click()
    assert parts == 12
    expect(page.get_by_role("button", name="Record the run")).to_be_visible()
    page.get_by_role("button", name="Back").click()
    expect(page.get_by_text("Part 11 of 12")).to_be_visible()


def test_next_stands_in_the_flow_under_the_box_within_the_thumbs_reach(
    sign_in: SignIn, at_work: Engine, mechanic: Person
) -> None:
    page = opened(sign_in(mechanic), at_work)
    go_to(page, page.get_by_label("Hour meter at the end"))
    box = page.get_by_label("Hour meter at the end").bounding_box()
    onward = page.get_by_role("button", name="Next").bounding_box()
    back = page.get_by_role("button", name="Back").bounding_box()
    assert page.get_by_role("button", name="Next").evaluate("node => getComputedStyle(node).position") == "static"
    assert box["y"] + box["height"] + GAP <= onward["y"]
    assert onward["height"] >= MAIN_TARGET
    assert onward["width"] >= 360 - 2 * 16
    assert back["height"] >= TARGET
    assert back["y"] - (onward["y"] + onward["height"]) >= GAP
    assert onward["y"] + onward["height"] / 2 >= HEIGHT / 2


def test_enter_goes_on_and_only_the_last_part_sends(sign_in: SignIn, at_work: Engine, mechanic: Person) -> None:
    page = opened(sign_in(mechanic), at_work)
    go_to(page, page.get_by_label("Run time, in h"))
    page.get_by_label("Run time, in h").press("Enter")
    expect(page.get_by_label("Starts")).to_be_focused()
    assert Run.objects.count() == 0


def test_a_desk_has_the_whole_sheet_on_one_page(sign_in: SignIn, at_work: Engine, mechanic: Person) -> None:
    page = sign_in(mechanic)
    page.set_viewport_size({"width": 1280, "height": 800})
    opened(page, at_work)
    expect(page.get_by_label("Remarks")).to_be_visible()
    expect(page.get_by_label("Run time, in h")).to_be_visible()


def test_without_scripts_the_sheet_is_one_page(
    browser: Any, live_server: Any, at_work: Engine, mechanic: Person, client: Any
) -> None:
    client.force_login(mechanic)
    context = browser.new_context(java_script_enabled=False, viewport={"width": 360, "height": HEIGHT})
    cookie = {"name": "sessionid", "value": client.cookies["sessionid"].value, "url": live_server.url}
    context.add_cookies([cookie])
    page = context.new_page()
    page.goto(f"{live_server.url}/engines/{at_work.pk}/record/")
    page.get_by_label("Ground run").check()
    page.get_by_label("Began at").fill("2026-05-04T07:30")
    page.get_by_label("Run time, in h").fill("0.4")
    page.get_by_role("button", name="Record the run").click()
    expect(page.get_by_text("The run is recorded.")).to_be_visible()
    context.close()


def test_the_difference_from_the_last_reading_is_live(sign_in: SignIn, at_work: Engine, mechanic: Person) -> None:
    RunFactory.create(
        engine=at_work, started_at="2026-05-03T07:30Z", typed_meter_h=4311.2, recorded_by=mechanic, run_time_s=3600
    )
    page = opened(sign_in(mechanic), at_work)
    box = page.get_by_label("Hour meter at the end, in h")
    go_to(page, box)
    expect(box).to_have_value("")
    expect(page.get_by_text(f"Last: 4311.2 h, 2026-05-03, {mechanic}.")).to_be_visible()
    box.fill("4312,6")
    expect(part_of(page).locator(".echo")).to_have_text("Read as 4312.6 h (4312 h 36 min), +1.4 h since 2026-05-03")
    box.fill("4310")
    expect(part_of(page).locator(".echo")).to_contain_text("\N{MINUS SIGN}1.2 h since 2026-05-03")


def test_a_question_comes_back_with_its_box_and_a_reason_is_taken(
    sign_in: SignIn, at_work: Engine, mechanic: Person
) -> None:
    RunFactory.create(engine=at_work, started_at="2026-05-03T07:30Z", typed_meter_h=4311.2, recorded_by=mechanic)
    page = opened(sign_in(mechanic), at_work)
    page.get_by_label("Ground run").check()
    go_to(page, page.get_by_label("Began at"))
    page.get_by_label("Began at").fill("2026-05-04T07:30")
    go_to(page, page.get_by_label("Hour meter"))
    page.get_by_label("Hour meter").fill("4321.6")
    go_to(page, page.get_by_role("button", name="Record the run"))
    page.get_by_role("button", name="Record the run").click()
    expect(page.locator(".error-summary")).to_be_focused()
    expect(part_of(page).get_by_text("Did you mean 4312.6?")).to_be_visible()
    expect(page.get_by_label("Hour meter at the end, in h")).to_have_value("4321.6")
    page.get_by_label("Why hour meter is so").fill("Flown elsewhere in between")
    go_to(page, page.get_by_role("button", name="Record the run"))
    page.get_by_role("button", name="Record the run").click()
    expect(page.get_by_text("The run is recorded.")).to_be_visible()
    assert [said.reason for said in Run.objects.get(typed_meter_h=4321.6).reasons.all()] == [
        "Flown elsewhere in between"
    ]


def type_a_little(page: Page) -> None:
    """Type into three parts of the sheet."""
    page.get_by_label("Ground run").check()
    go_to(page, page.get_by_label("Run time, in h"))
    page.get_by_label("Run time, in h").fill("0,4")
    go_to(page, page.get_by_label("Remarks"))
    page.get_by_label("Remarks").fill("Quiet so far")


def shown(page: Page) -> tuple[bool, str, str]:
    """Return what stands in those three parts, in view or not."""
    return page.evaluate(
        """() => [document.querySelector("[name=kind][value=ground_run]").checked,
                  document.querySelector("[name=run_time]").value, document.querySelector("[name=remarks]").value]"""
    )


TYPED = [True, "0,4", "Quiet so far"]


def typed_stands(page: Page) -> None:
    """Wait until what was typed stands in the sheet, which a script puts there once the page is read."""
    page.wait_for_function("said => document.querySelector('[name=remarks]')?.value === said", arg=TYPED[2])
    assert shown(page) == TYPED


def test_a_reload_loses_nothing(sign_in: SignIn, at_work: Engine, mechanic: Person) -> None:
    page = opened(sign_in(mechanic), at_work)
    type_a_little(page)
    number = page.locator("input[name=id]").input_value()
    page.reload()
    typed_stands(page)
    assert page.locator("input[name=id]").input_value() == number
    expect(page.get_by_text("Brought back as you left it")).to_be_visible()


def test_what_is_typed_before_the_scripts_are_there_is_kept_and_not_written_over(
    sign_in: SignIn, at_work: Engine, mechanic: Person
) -> None:
    page = opened(sign_in(mechanic), at_work)
    type_a_little(page)
    waiting: list[Route] = []
    page.route("**/js/app.js", lambda route: waiting.append(route))
    page.reload(wait_until="commit")
    page.get_by_label("Flight", exact=True).check()
    page.get_by_label("Remarks").fill("Quicker than the scripts")
    pressed_until(lambda: bool(waiting), lambda: page.wait_for_timeout(50))
    waiting.pop().continue_()
    expect(page.get_by_text("Kept on this device as you type.")).to_be_visible()
    page.unroute("**/js/app.js")
    page.reload()
    page.wait_for_function("() => document.querySelector('form.walked')")
    expect(page.get_by_label("Flight", exact=True)).to_be_checked()
    expect(page.locator("[name=remarks]")).to_have_value("Quicker than the scripts")
    expect(page.locator("[name=run_time]")).to_have_value("0,4")


def test_signing_out_and_in_loses_nothing_and_shows_nothing_to_another(
    sign_in: SignIn, at_work: Engine, mechanic: Person, inspector: Person
) -> None:
    page = opened(sign_in(mechanic), at_work)
    type_a_little(page)
    opened(sign_in(inspector), at_work)
    assert shown(page) == [False, "", ""]
    opened(sign_in(mechanic), at_work)
    typed_stands(page)


def test_an_error_of_the_server_loses_nothing(
    sign_in: SignIn, console: list[str], at_work: Engine, mechanic: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = opened(sign_in(mechanic), at_work)
    type_a_little(page)
    page.route("**/record/", lambda route: route.fulfill(status=500, body="<h1>Down</h1>", content_type="text/html"))
    page.get_by_role("button", name="Record the run").click()
    expect(page.get_by_role("heading", name="Down")).to_be_visible()
    page.unroute("**/record/")
    page.goto(page.url)
    typed_stands(page)
    console.clear()


def test_a_session_that_has_ended_loses_nothing(
    sign_in: SignIn, sign_in_by_screen: SignIn, at_work: Engine, mechanic: Person
) -> None:
    page = opened(sign_in(mechanic), at_work)
    type_a_little(page)
    page.context.clear_cookies(name="sessionid")
    page.get_by_role("button", name="Record the run").click()
    page.wait_for_url("**/sign-in/**")
    opened(sign_in_by_screen(mechanic), at_work)
    typed_stands(page)


def test_a_draft_goes_only_when_the_server_has_recorded_the_run(
    sign_in: SignIn, at_work: Engine, mechanic: Person
) -> None:
    page = opened(sign_in(mechanic), at_work)
    type_a_little(page)
    page.get_by_role("button", name="Record the run").click()
    expect(page.get_by_text("Give the day and the time")).not_to_have_count(0)
    assert len(drafts(page)) == 1
    go_to(page, page.get_by_label("Began at"))
    page.get_by_label("Began at").fill("2026-05-04T07:30")
    go_to(page, page.get_by_role("button", name="Record the run"))
    page.get_by_role("button", name="Record the run").dblclick()
    expect(page.get_by_text("The run is recorded.")).to_be_visible()
    forgotten(page)
    assert Run.objects.count() == 1


def test_an_empty_sheet_can_be_had_and_what_was_typed_can_be_had_back(
    sign_in: SignIn, at_work: Engine, mechanic: Person
) -> None:
    page = opened(sign_in(mechanic), at_work)
    type_a_little(page)
    number = page.locator("input[name=id]").input_value()
    page.reload()
    page.get_by_role("button", name="Begin an empty sheet").click()
    assert shown(page) == [False, "", ""]
    assert page.locator("input[name=id]").input_value() != number
    page.get_by_role("button", name="Bring back what I typed").click()
    typed_stands(page)
    assert page.locator("input[name=id]").input_value() == number


def test_pulling_down_does_not_reload(sign_in: SignIn, at_work: Engine, mechanic: Person) -> None:
    page = opened(sign_in(mechanic), at_work)
    assert page.evaluate("getComputedStyle(document.body).overscrollBehaviorY") == "contain"
    assert page.evaluate("getComputedStyle(document.documentElement).overscrollBehaviorY") == "contain"


def test_a_device_that_keeps_nothing_says_so(sign_in: SignIn, at_work: Engine, mechanic: Person) -> None:
    page = sign_in(mechanic)
    page.add_init_script("Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); };")
    opened(page, at_work)
    page.get_by_label("Ground run").check()
    expect(page.get_by_text("This browser cannot keep what you type.")).to_be_visible()
    assert json.loads(page.evaluate("JSON.stringify(Object.keys(localStorage))")) == []
