"""Pages that others made, under our policy: the browser complains of nothing, and they work."""

from collections.abc import Callable

from playwright.sync_api import Page

from logbook.models import Person


def test_the_page_to_browse_rest_by_works(visit: Callable[[str], Page]) -> None:
    page = visit("/api/v1/docs/")
    page.get_by_text("List the engines with their condition and times").wait_for()


def test_the_admin_works_for_staff(
    sign_in: Callable[[Person], Page], visit: Callable[[str], Page], director: Person
) -> None:
    director.is_staff = True
    director.save(update_fields=["is_staff"])
    sign_in(director)
    page = visit("/admin/logbook/person/")
    page.get_by_role("link", name=director.username).click()
    page.get_by_text("Last login").wait_for()
    assert page.get_by_role("button", name="Save").count() == 0
