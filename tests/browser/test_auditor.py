"""The auditor's way in a real browser: find an entry, read its history, follow figures to samples, see the starts."""

import csv
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from engines.models import Engine, Run
from logbook.actions import trace_enter
from logbook.models import Person
from tests.logbook.screen_kit import recording_file, run_with_inspection
from tests.signed import run_signed

WIDTHS = [360, 1280]
SCHEMES = ("light", "dark")
SignIn = Callable[[Person], Page]


@pytest.fixture
def run(at_work: Engine, mechanic: Person) -> Run:
    """Return a run with a reading and a recorded trace, each with its entry."""
    run = run_with_inspection(at_work, mechanic)
    trace_enter(run=run, file=recording_file(), name="run.csv", by=mechanic)
    run_signed(run, mechanic)
    return run


def looked_at(page: Page) -> None:
    """Hold the page in view to the accessibility checker in both themes, and to its own width."""
    for scheme in SCHEMES:
        page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
        results = Axe().run(page)
        assert results.violations_count == 0, f"{page.url} {scheme}\n{results.generate_report()}"
    over = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert over <= 0, page.url
    assert page.locator("main form[method=post]").count() == 0, page.url


@pytest.mark.parametrize("width", WIDTHS)
def test_an_entry_is_found_and_its_figures_followed_to_the_samples(
    width: int, sign_in: SignIn, run: Run, auditor: Person, tmp_path: Path
) -> None:
    page = sign_in(auditor)
    page.set_viewport_size({"width": width, "height": 800})
    page.get_by_role("link", name="Entries", exact=True).click()
    page.get_by_text("Narrow this list").click()
    page.get_by_label("Serial number holds").fill("tb-00")
    page.get_by_label("Words in the text").fill("run.csv area")
    page.get_by_role("button", name="Show these").click()
    expect(page.get_by_text("1 of 1 shown, of 2 kept.")).to_be_visible()
    assert "words=run.csv+area" in page.url

    page.get_by_role("link", name="Entry 2").click()
    expect(page.get_by_role("heading", name="How this entry came to be")).to_be_visible()
    expect(page.get_by_text("Late: signed")).to_be_visible()
    expect(page.locator(".digest", has_text=run.traces.get().original_sha256)).to_have_count(1)
    looked_at(page)
    page.get_by_role("link", name="Entry 1", exact=True).first.click()
    expect(page.get_by_role("heading", name="Entry 1: Ground run recorded")).to_be_visible()
    page.get_by_role("link", name="entry 2", exact=True).first.click()

    page.get_by_role("row").filter(has_text="it stands").get_by_role("link", name="ITT, running").first.click()
    expect(page.get_by_text("Together 20.1 s above 700 °C.")).to_be_visible()
    looked_at(page)
    with page.expect_download() as download:
        page.get_by_role("link", name="These samples as CSV").click()
    kept = tmp_path / "samples.csv"
    download.value.save_as(kept)
    rows = list(csv.DictReader(kept.read_text(encoding="utf8").splitlines()))
    assert max(float(row["itt (°C)"]) for row in rows) == 770


@pytest.mark.parametrize("width", WIDTHS)
def test_every_figure_of_a_run_opens_what_it_comes_from(width: int, sign_in: SignIn, run: Run, auditor: Person) -> None:
    page = sign_in(auditor)
    page.set_viewport_size({"width": width, "height": 800})
    page.goto(page.url.replace("/engines/", f"/runs/{run.pk}/"))
    looked_at(page)
    fact = page.locator(".facts").filter(has=page.get_by_text("Short of the next area")).first
    fact.get_by_role("link", name="770 °C", exact=True).click()
    assert page.url.endswith("#peak")
    expect(page.get_by_role("heading", name="Peak: 770 °C")).to_be_in_viewport()
    page.go_back()
    page.get_by_role("link", name="Hours, starts and cycles, worked through").click()
    expect(page.get_by_text("From light-off at 0:08 to the end of running at 2:50")).to_be_visible()
    looked_at(page)
    page.get_by_role("link", name="Add it up: the engine's times up to this run").click()
    expect(page.get_by_role("heading", name=f"Times of {run.engine.serial}, line by line")).to_be_visible()
    expect(page.get_by_text("1 of 1 shown.")).to_be_visible()
    looked_at(page)


@pytest.mark.parametrize("width", WIDTHS)
def test_a_year_of_starts_is_seen_and_printed(
    width: int, sign_in: SignIn, run: Run, auditor: Person, live_server: Any
) -> None:
    page = sign_in(auditor)
    page.set_viewport_size({"width": width, "height": 800})
    page.get_by_role("link", name=run.engine.serial, exact=False).first.click()
    page.get_by_role("link", name="A year of starts").click()
    expect(page.locator("svg.picture:visible")).to_have_count(1)
    expect(page.get_by_role("rowheader", name="2026-05-04 07:30")).to_be_visible()
    looked_at(page)
    address = page.get_by_role("link", name="Print, A4 (PDF)").get_attribute("href")
    answer = page.request.get(f"{live_server.url}{address}")
    assert (answer.status, answer.body()[:5]) == (200, b"%PDF-")
