"""Every screen on a phone and at a desk: nothing for the accessibility checker, no sideways scroll, room for gloves."""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from playwright.sync_api import Page

from engines.models import Engine, TypeRevision
from inspections.models import Inspection
from logbook.actions import trace_enter
from logbook.models import Person
from tests.documents import type_document
from tests.factories import TypeRevisionFactory
from tests.logbook.screen_kit import inspection_opened, recording_file

NARROWEST, PHONE, DESK = 320, 360, 1280
LEAST_TARGET, MAIN_TARGET = 48, 72
TARGETS = "main button, main a.act, main a.main-act, main summary, nav.ways a, .choice, main input:not([type=hidden])"
SignIn = Callable[[Person], Page]


@pytest.fixture
def inspection(at_work: Engine, mechanic: Person) -> Inspection:
    """Return an inspection whose run has a reading and a trace."""
    inspection = inspection_opened(at_work, mechanic)
    trace_enter(run=inspection.run, file=recording_file(), name="run.csv", by=mechanic)
    return inspection


@pytest.fixture
def addresses(inspection: Inspection) -> dict[str, str]:
    """Return the main screens by name."""
    keys: dict[str, list[Any]] = {
        "engine_list": [],
        "engine_detail": [inspection.engine_id],
        "run_record": [inspection.engine_id],
        "run_timer": [inspection.engine_id],
        "handover_list": [],
        "handover_give": [inspection.pk],
        "run_detail": [inspection.run_id],
        "trace_add": [inspection.run_id],
        "inspection_list": [],
        "inspection_detail": [inspection.pk],
        "inspection_sign": [inspection.pk],
        "entry_list": [],
        "entry_detail": [1],
        "limits_list": [],
        "limits_detail": [inspection.revision_id],
        "limits_enter": [inspection.engine.engine_type_id],
        "limits_key": [draft_of(inspection).pk, 1],
        "engine_record": [inspection.engine_id],
        "concern_list": [],
        "concern_detail": [inspection.run.concerns.first().pk],
        "person_list": [],
        "person_detail": [inspection.run.recorded_by_id],
        "certificate_add": [inspection.run.recorded_by_id],
        "authorization_list": [],
        "authorization_add": [],
        "view_list": [],
        "inspections_assign": [],
    }
    found = {name: reverse(name, args=args) for name, args in keys.items()}
    return found | {"inspections_assign": f"{found['inspections_assign']}?chosen={inspection.pk}"}


def draft_of(inspection: Inspection) -> TypeRevision:
    """Return a draft that changes a chart, which waits to be keyed a second time."""
    document = type_document()
    document["charts"][1]["limit"] = 690
    return TypeRevisionFactory.create(
        engine_type=inspection.engine.engine_type, document=document, is_adopted=False, in_force_from=date(2026, 6, 1)
    )


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [PHONE, DESK])
def test_the_accessibility_checker_finds_nothing(
    width: int, scheme: Any, sign_in: SignIn, *, addresses: dict[str, str], director: Person, live_server: Any
) -> None:
    page = sign_in(director)
    page.emulate_media(color_scheme=scheme)
    page.set_viewport_size({"width": width, "height": 800})
    found = {}
    for name, address in addresses.items():
        page.goto(f"{live_server.url}{address}")
        results = Axe().run(page)
        if results.violations_count:
            found[name] = results.generate_report()
    assert found == {}


def test_nothing_scrolls_sideways_on_the_narrowest_phone(
    sign_in: SignIn, addresses: dict[str, str], director: Person, live_server: Any
) -> None:
    page = sign_in(director)
    page.set_viewport_size({"width": NARROWEST, "height": 640})
    over = {}
    for name, address in addresses.items():
        page.goto(f"{live_server.url}{address}")
        over[name] = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert {name: px for name, px in over.items() if px > 0} == {}


def test_targets_have_room_for_gloves(
    sign_in: SignIn, addresses: dict[str, str], director: Person, live_server: Any
) -> None:
    page = sign_in(director)
    small = {}
    for name, address in addresses.items():
        page.goto(f"{live_server.url}{address}")
        for target in page.locator(TARGETS).all():
            box = target.bounding_box()
            inside = target.evaluate("node => node.matches('.choice input')")
            is_main = target.evaluate("node => node.matches('.main-act')")
            least = MAIN_TARGET if is_main else LEAST_TARGET
            if box and not inside and box["height"] < least - 0.5:
                small[f"{name}: {target.evaluate('node => node.outerHTML')[:90]}"] = box["height"]
    assert small == {}


def test_pages_stay_light(sign_in: SignIn, addresses: dict[str, str], director: Person, live_server: Any) -> None:
    page = sign_in(director)
    sizes = {}
    for name, address in addresses.items():
        body = page.goto(f"{live_server.url}{address}")
        assert body is not None
        sizes[name] = page.evaluate(
            """async (text) => {
                const packed = new Blob([text]).stream().pipeThrough(new CompressionStream("gzip"));
                return (await new Response(packed).blob()).size;
            }""",
            body.text(),
        )
    assert {name: size for name, size in sizes.items() if size > 30_000} == {}
