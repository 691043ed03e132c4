"""The open inspections by keyboard alone."""

from collections.abc import Callable

from playwright.sync_api import Page, expect

from engines.models import Engine
from logbook.models import Person
from tests.factories import InspectionFactory
from tests.harness.waits import wired
from tests.logbook.screen_kit import inspection_opened

DESK = {"width": 1280, "height": 800}
SignIn = Callable[[Person], Page]


def test_the_list_is_walked_chosen_given_and_opened_by_keyboard(
    sign_in: SignIn, at_work: Engine, mechanic: Person, director: Person
) -> None:
    first = inspection_opened(at_work, mechanic)
    for n in range(2):
        InspectionFactory.create(run=first.run, rule=f"rule {n}", summary=f"Further {n}")
    page = sign_in(director)
    page.set_viewport_size(DESK)  # type: ignore[arg-type]
    page.get_by_role("navigation", name="Main").get_by_role("link", name="Open inspections").click()
    links = page.locator("[data-row-opens]")
    expect(links).to_have_count(3)
    wired(page)
    for key, place in (
        ("j", 0),
        ("j", 1),
        ("ArrowDown", 2),
        ("j", 2),
        ("k", 1),
        ("Home", 0),
        ("End", 2),
        ("ArrowUp", 1),
    ):
        page.keyboard.press(key)
        expect(links.nth(place)).to_be_focused()
    page.keyboard.press("x")
    expect(page.get_by_role("checkbox").nth(1)).to_be_checked()
    page.keyboard.press("j")
    page.keyboard.press("Enter")
    expect(page.locator("#beside-title")).to_contain_text("Further 1")
    page.go_back()
    expect(links.nth(2)).to_be_focused()
    page.get_by_role("button", name="Give to a person").press("Enter")
    page.get_by_label("Who gets them").select_option(label=str(mechanic))
    page.get_by_role("button", name="to this person").press("Enter")
    expect(page.locator("#notices")).to_contain_text(f"given to {mechanic}.")


def test_keys_are_left_to_boxes_that_are_typed_in(sign_in: SignIn, at_work: Engine, mechanic: Person) -> None:
    inspection_opened(at_work, mechanic)
    page = sign_in(mechanic)
    page.set_viewport_size(DESK)  # type: ignore[arg-type]
    page.goto(page.url.replace("/engines/", "/inspections/"))
    page.get_by_text("Narrow this list").click()
    box = page.get_by_label("Serial number holds")
    box.press_sequentially("jkx")
    expect(box).to_have_value("jkx")
    expect(box).to_be_focused()
