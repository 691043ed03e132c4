"""The event timer: times are differences of stored presses, through a lock, a reload and a press taken back."""

import datetime
import json
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, Route, expect

from engines.models import Engine, Operator, Reading
from logbook.models import Person
from tests.factories import EngineFactory
from tests.harness.waits import forgotten, pressed_until, waited
from tests.layers import ROOT

SignIn = Callable[[Person], Page]
MORNING = datetime.datetime(2026, 5, 4, 7, 30, tzinfo=datetime.UTC)
TEN_MINUTES_MS = 600_000
HEIGHT, MAIN_TARGET, TARGET, GAP = 740, 72, 48, 8
NO_LOCK = "Object.defineProperty(navigator, 'wakeLock', {value: undefined})"
LOCK = """window.asked = 0;
Object.defineProperty(navigator, 'wakeLock', {value: {request: async () => {
  window.asked += 1; window.lock = new EventTarget(); return window.lock; }}})"""


@pytest.fixture
def engine(operator: Operator) -> Engine:
    """Return an engine with limits of every kind."""
    document = json.loads((ROOT / "fixtures" / "engine_type.json").read_text(encoding="utf8"))
    return EngineFactory.create(operator=operator, serial="TB-0001", revision__document=document)


@pytest.fixture
def timer(sign_in: SignIn, at_work: Engine, mechanic: Person) -> Callable[..., Page]:
    """Return a function that opens the timer and starts it, the clock of the page in the test's hand."""

    def begin(script: str = LOCK) -> Page:
        page = sign_in(mechanic)
        page.clock.install(time=MORNING)
        page.add_init_script(script)
        page.get_by_role("link", name=f"Record a run of {at_work.serial}").click()
        page.get_by_role("link", name="Time events first").click()
        start = page.get_by_role("button", name="Start timing")
        expect(start).to_be_visible()  # by the page's script, which has to be there before time stands still
        page.clock.pause_at(MORNING + datetime.timedelta(hours=1))
        start.click()
        return page

    return begin


def hot(page: Page) -> Any:
    """Return the key of the temperature."""
    return page.get_by_role("button", name="Over temperature")


def stored(page: Page) -> dict[str, Any]:
    """Return what is stored on the device."""
    return json.loads(
        page.evaluate("Object.entries(localStorage).find(([key]) => key.startsWith('timer:'))?.[1] ?? '{}'")
    )


def handed(page: Page) -> dict[str, Any]:
    """Finish, and return what the sheet of the run took over."""
    page.get_by_role("link", name="Done timing: to the sheet").click()
    page.wait_for_url("**/record/")
    return json.loads(page.locator("input[name=timed]").input_value())


def test_what_only_a_script_answers_is_not_there_before_it(sign_in: SignIn, at_work: Engine, mechanic: Person) -> None:
    page = sign_in(mechanic)
    held: list[Route] = []
    page.route("**/js/app.js", lambda route: held.append(route))
    page.goto(page.url.replace("/engines/", f"/engines/{at_work.pk}/timer/"), wait_until="commit")
    expect(page.get_by_text("For an observer outside the danger area.").first).to_be_visible()
    waited(page, lambda: bool(held))
    expect(page.locator("[data-start]")).to_be_hidden()
    held.pop().continue_()
    expect(page.get_by_role("button", name="Start timing")).to_be_visible()


def test_ten_minutes_of_a_locked_phone_are_ten_minutes(timer: Callable[..., Page]) -> None:
    page = timer()
    hot(page).click()
    page.clock.fast_forward(TEN_MINUTES_MS)
    expect(page.locator("[data-running]")).to_contain_text("600.")
    hot(page).click()
    (stretch,) = handed(page)["stretches"]
    assert stretch["seconds"] == pytest.approx(600, abs=0.5)
    assert stretch["chart"] == "ITT, running"
    assert abs(stretch["clocks_apart_s"]) < 0.5


def test_a_reload_in_the_middle_changes_nothing(timer: Callable[..., Page]) -> None:
    page = timer()
    hot(page).click()
    page.clock.fast_forward(300_000)
    page.reload()
    expect(hot(page)).to_have_attribute("aria-pressed", "true")
    page.clock.fast_forward(300_000)
    hot(page).click()
    (stretch,) = handed(page)["stretches"]
    assert stretch["seconds"] == pytest.approx(600, abs=0.5)


def test_the_time_is_that_of_the_finger_going_down(timer: Callable[..., Page]) -> None:
    page = timer()
    hot(page).hover()
    page.mouse.down()
    began = stored(page)["presses"][0]["wall"]
    page.clock.fast_forward(2_000)
    page.mouse.up()
    assert [press["wall"] for press in stored(page)["presses"]] == [began]


def test_a_keyboard_presses_too(timer: Callable[..., Page]) -> None:
    page = timer()
    hot(page).focus()
    page.keyboard.press("Enter")
    assert len(stored(page)["presses"]) == 1


def test_the_last_press_can_be_taken_back_for_ten_seconds(timer: Callable[..., Page]) -> None:
    page = timer()
    back = page.get_by_role("button", name="Take back last press")
    expect(back).to_be_disabled()
    hot(page).click()
    page.clock.run_for(9_000)
    back.click()
    expect(hot(page)).to_have_attribute("aria-pressed", "false")
    expect(page.get_by_text("Taken back: the press at")).to_be_visible()
    assert (stored(page)["presses"], stored(page)["takenBack"]) == ([], 1)
    hot(page).click()
    page.clock.run_for(11_000)
    expect(back).to_be_disabled()
    assert len(stored(page)["presses"]) == 1


def test_two_limits_run_beside_each_other(timer: Callable[..., Page]) -> None:
    page = timer()
    torque = page.get_by_role("button", name="Over torque")
    hot(page).click()
    page.clock.fast_forward(2_000)
    torque.click()
    page.clock.fast_forward(3_000)
    hot(page).click()
    page.clock.fast_forward(4_000)
    torque.click()
    seconds = {stretch["chart"]: stretch["seconds"] for stretch in handed(page)["stretches"]}
    assert seconds == {"ITT, running": pytest.approx(5, abs=0.5), "Torque": pytest.approx(7, abs=0.5)}


def test_a_press_before_idle_belongs_to_the_start(timer: Callable[..., Page]) -> None:
    page = timer()
    for mark in ("Starter", "Light-off"):
        page.get_by_role("button", name=mark).click()
    hot(page).click()
    page.clock.fast_forward(4_000)
    hot(page).click()
    page.get_by_role("button", name="Idle").click()
    record = handed(page)
    assert [stretch["chart"] for stretch in record["stretches"]] == ["ITT, starting"]
    assert [mark["name"] for mark in record["marks"]] == ["starter", "light_off", "idle"]


def test_it_does_not_end_while_a_limit_is_passed(timer: Callable[..., Page]) -> None:
    page = timer()
    hot(page).click()
    page.get_by_role("link", name="Done timing: to the sheet").click()
    expect(page.get_by_text("Still above the limit: Over temperature.")).to_be_visible()
    assert page.url.endswith("/timer/")


def test_what_was_timed_goes_into_the_sheet_and_a_correction_stands_beside_it(
    timer: Callable[..., Page], mechanic: Person
) -> None:
    page = timer()
    hot(page).click()
    page.clock.fast_forward(12_000)
    hot(page).click()
    measured = handed(page)["stretches"][0]["seconds"]
    page.reload()
    box = page.locator("input[name=seconds_1]")
    assert float(box.input_value()) == measured
    page.get_by_label("Ground run").check()

    def onward() -> None:
        if page.get_by_label("Began at").is_visible():
            page.get_by_label("Began at").fill("2026-05-04T07:30")
        page.get_by_role("button", name="Next").click()

    pressed_until(box.is_visible, onward)
    expect(page.get_by_text(f"Timed: {measured:.1f} s. What you type stands beside it; both are kept.")).to_be_visible()
    page.locator("input[name=peak_1]").fill("715")
    box.fill("12.5")
    pressed_until(
        page.get_by_role("button", name="Record the run").is_visible, page.get_by_role("button", name="Next").click
    )
    page.get_by_role("button", name="Record the run").click()
    expect(page.get_by_text("The run is recorded.")).to_be_visible()
    reading = Reading.objects.get()
    assert (reading.seconds, reading.timed_seconds) == (12.5, measured)
    forgotten(page)


def test_the_screen_is_asked_to_stay_on_and_again_on_return(timer: Callable[..., Page]) -> None:
    page = timer()
    expect(page.get_by_text("Screen stays on")).to_be_visible()
    page.evaluate("window.lock.dispatchEvent(new Event('release'))")
    expect(page.get_by_text("Screen may sleep - times are still kept")).to_be_visible()
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    expect(page.get_by_text("Screen stays on")).to_be_visible()
    assert page.evaluate("window.asked") == 2


def test_a_screen_that_may_sleep_says_so(timer: Callable[..., Page]) -> None:
    page = timer(NO_LOCK)
    expect(page.get_by_text("Screen may sleep - times are still kept")).to_be_visible()


def test_keys_are_three_in_a_row_tall_and_apart(timer: Callable[..., Page]) -> None:
    page = timer()
    keys = [key.bounding_box() for key in page.locator(".key").all()]
    rows: dict[float, list[dict[str, float]]] = {}
    for box in keys:
        rows.setdefault(round(box["y"]), []).append(box)
    assert [len(row) for row in rows.values()] == [3, 2, 3]
    for row in rows.values():
        assert all(box["height"] >= MAIN_TARGET for box in row)
        assert all(b["x"] - (a["x"] + a["width"]) >= GAP for a, b in zip(row, row[1:], strict=False))
    for row in (row for row in rows.values() if len(row) == 3):
        assert row[0]["x"] <= 16
        assert row[-1]["x"] + row[-1]["width"] >= 360 - 16
    back = page.get_by_role("button", name="Take back last press").bounding_box()
    done = page.get_by_role("link", name="Done timing: to the sheet").bounding_box()
    assert back["height"] >= TARGET
    assert done["height"] >= MAIN_TARGET
    assert done["y"] >= HEIGHT / 2
    assert done["y"] + done["height"] <= HEIGHT
    assert done["y"] - (back["y"] + back["height"]) >= GAP
    hot(page).click()
    shown = page.locator("[data-shown]").bounding_box()
    assert shown["width"] * shown["height"] >= 360 * HEIGHT / 4


RULES = """async ([name, rule, given]) => {
  const app = document.querySelector("script[type=module]").src;
  const module = await import(app.replace(/app[^/]*$/, name + ".js"));
  return module[name][rule](...given);
}"""


@pytest.mark.parametrize(
    ("start", "end", "between"),
    [
        ({"wall": 0, "mono": 0, "boot": 1}, {"wall": 2500, "mono": 2500, "boot": 1}, (2.5, 0)),
        ({"wall": 0, "mono": 0, "boot": 1}, {"wall": 9000, "mono": 2000, "boot": 1}, (9, 7)),
        ({"wall": 9000, "mono": 0, "boot": 1}, {"wall": 0, "mono": 2000, "boot": 1}, (2, -11)),
        ({"wall": 0, "mono": 5000, "boot": 1}, {"wall": 4000, "mono": 10, "boot": 2}, (4, None)),
        ({"wall": 4000, "mono": 0, "boot": 1}, {"wall": 0, "mono": 10, "boot": 2}, (0, None)),
    ],
)
def test_both_clocks_are_kept_and_the_longer_counts(
    start: dict[str, int], end: dict[str, int], between: tuple[float, float | None], sign_in: SignIn, mechanic: Person
) -> None:
    page = sign_in(mechanic)
    found = page.evaluate(RULES, ["clock", "between", [start, end]])
    assert (found["seconds"], found["apart"]) == between
    expected = between[1] is not None and abs(between[1]) > 0.5
    assert page.evaluate(RULES, ["clock", "disagree", [found["apart"]]]) is expected
