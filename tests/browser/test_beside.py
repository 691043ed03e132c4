"""The panel beside the list of inspections: opened, walked, left and come back to."""

from collections.abc import Callable

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from engines.models import Engine
from logbook.models import Person
from tests.factories import InspectionFactory
from tests.harness.waits import wired
from tests.logbook.screen_kit import inspection_opened

DESK, PHONE = {"width": 1280, "height": 800}, {"width": 360, "height": 740}
SignIn = Callable[[Person], Page]


def listed(page: Page, engine: Engine, by: Person, size: dict[str, int]) -> None:
    """Open the list with three inspections in it."""
    first = inspection_opened(engine, by)
    for n in range(2):
        InspectionFactory.create(run=first.run, rule=f"rule {n}", summary=f"Further {n}")
    page.set_viewport_size(size)  # type: ignore[arg-type]
    page.goto(page.url.replace("/engines/", "/inspections/"))


def test_rows_open_beside_the_list_by_keyboard(
    sign_in: SignIn, at_work: Engine, mechanic: Person, director: Person
) -> None:
    page = sign_in(director)
    listed(page, at_work, mechanic, DESK)
    rows, title = page.locator("[data-row-opens]"), page.locator("#beside-title")
    wired(page)
    page.keyboard.press("j")
    page.keyboard.press("Enter")
    expect(title).to_be_focused()
    first = page.url
    assert "beside=" in first
    page.keyboard.press("j")
    expect(rows.nth(1)).to_be_focused()
    page.keyboard.press("Enter")
    expect(title).to_contain_text("Further 0")
    page.go_back()
    expect(title).to_contain_text("Hot section inspection")
    expect(rows.nth(0)).to_have_attribute("aria-current", "true")
    expect(title).to_be_focused()
    page.keyboard.press("Escape")
    expect(title).to_have_count(0)
    expect(rows.nth(0)).to_be_focused()
    assert "beside=" not in page.url
    page.goto(first)
    expect(title).to_be_focused()
    expect(page.locator("#beside-history")).to_be_visible()
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
        assert Axe().run(page).response["violations"] == []
    page.get_by_label("Who gets them").select_option(label=str(mechanic))
    page.get_by_role("button", name="Give it to this person").press("Enter")
    expect(page.locator("#notices")).to_contain_text(f"given to {mechanic}.")
    expect(page.locator("#beside")).to_contain_text(f"In hand with {mechanic}")
    page.get_by_role("link", name="Close").click()
    expect(title).to_have_count(0)


def test_on_a_phone_a_row_goes_to_its_page(sign_in: SignIn, at_work: Engine, mechanic: Person) -> None:
    page = sign_in(mechanic)
    listed(page, at_work, mechanic, PHONE)
    page.locator("[data-row-opens]").first.click()
    page.wait_for_url("**/inspections/*/")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Hot section inspection")
