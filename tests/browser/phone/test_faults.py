"""The fault suite: each way in which sending can go wrong, with what then stands on phone, server and screen."""

import datetime
from collections.abc import Callable

import pytest
from playwright.sync_api import expect

from engines.models import Engine, Run
from logbook.models import Arrival, Concern, Person
from tests.browser.phone.kit import ROWS, Phone
from tests.harness.waits import pressed_until, waited

WAIT_MS = 20_000


@pytest.fixture
def kept(phone: Phone, engine: Engine, mechanic: Person) -> Callable[..., list[str]]:
    """Return a function that keeps some runs on the phone, without signal."""

    def keep(count: int = 1) -> list[str]:
        phone.stock(mechanic, f"/engines/{engine.pk}/record/")
        phone.cut()
        return [phone.keep_run(engine, remarks=f"Run {n}", began=f"2026-05-04T0{n}:30") for n in range(1, count + 1)]

    return keep


def sent_since(phone: Phone, before: int) -> None:
    """Wait until more has come to the gate: an item that was tried without being asked to may be answered only now."""
    waited(phone.page, lambda: phone.gate.sent > before)


def state_shown(phone: Phone, words: str) -> None:
    """Wait until an item of the list stands so, in words; nothing is called saved before its receipt."""
    expect(phone.page.locator("[data-item] .item-state").first).to_contain_text(words, timeout=WAIT_MS)
    assert "saved" not in phone.page.locator("[data-unsent] [data-item]").first.inner_text().lower()


def test_before_it_is_sent_the_server_is_stopped(phone: Phone, kept: Callable[..., list[str]]) -> None:
    kept()
    phone.gate.close()
    phone.join()
    phone.send()
    expect(phone.page.get_by_text("The server does not answer. Everything stays here.")).to_be_visible()
    state_shown(phone, "Kept on this phone")
    assert Run.objects.count() == 0
    phone.gate.open()
    phone.page.get_by_role("button", name="Send now").click()
    phone.emptied()
    assert Run.objects.count() == 1


def test_the_reply_is_lost_after_the_server_has_stored_it(phone: Phone, kept: Callable[..., list[str]]) -> None:
    (number,) = kept()
    phone.gate.loses_replies = True
    phone.join()
    phone.send()
    state_shown(phone, "Not sure - checking")
    assert str(Run.objects.get().pk) == number
    for _ in range(2):
        tried = phone.rows()[0]["tries"]
        phone.page.get_by_role("button", name="Send now").click()
        phone.until(f"async () => (await ({ROWS})('outbox')).some(({{tries}}) => tries > {tried})")
    phone.gate.loses_replies = False
    phone.page.get_by_role("button", name="Send now").click()
    phone.emptied()
    arrival = Arrival.objects.get()
    expect(phone.page.get_by_text(f"Received - no. {arrival.pk}")).to_be_visible()
    assert Run.objects.count() == 1


def test_what_is_no_refusal_of_the_item_keeps_it(phone: Phone, kept: Callable[..., list[str]]) -> None:
    kept()
    phone.gate.always = (500, "")
    phone.join()
    phone.go("/not-sent-yet/")
    for status in (500, 502, 408, 425, 429, 401, 403):
        phone.gate.always = (status, '{"detail": "CSRF Failed", "code": "permission_denied"}')
        sent, tried = phone.gate.sent, phone.rows()[0]["tries"]
        phone.page.get_by_role("button", name="Send now").click()
        sent_since(phone, sent)
        waits = f"({{tries, state}}) => tries > {tried} && state === 'kept'"
        phone.until(f"async () => (await ({ROWS})('outbox')).some({waits})")
        state_shown(phone, "Kept on this phone")
        assert (len(phone.rows()), Run.objects.count()) == (1, 0), status
    phone.gate.always = None
    phone.page.get_by_role("button", name="Send now").click()
    phone.emptied()
    assert Run.objects.count() == 1


@pytest.mark.parametrize("status", [409, 422])
def test_a_refusal_is_kept_with_its_sentence_and_blocks_nothing(
    status: int, phone: Phone, kept: Callable[..., list[str]]
) -> None:
    numbers = kept(5)
    said = '{"detail": "The meter ran backwards.", "code": "sheet_refused", "fields": {}}'
    phone.gate.refused = {numbers[1]: (status, said)}
    phone.join()
    phone.send()
    state_shown(phone, "Needs you - The meter ran backwards.")
    phone.until(f"async () => (await ({ROWS})('outbox')).length === 1")
    assert {str(pk) for pk in Run.objects.values_list("pk", flat=True)} == {*numbers} - {numbers[1]}
    expect(phone.strip()).to_contain_text("1 needs you")


def test_a_captive_page_that_says_yes_is_no_receipt(phone: Phone, kept: Callable[..., list[str]]) -> None:
    kept()
    phone.gate.always = (200, '{"welcome": "to the airport"}')
    phone.join()
    phone.send()
    state_shown(phone, "Not sure - checking")
    assert (len(phone.rows()), Run.objects.count()) == (1, 0)
    phone.gate.always = (200, '{"id": "00000000-0000-0000-0000-000000000000", "receipt": 1}')
    phone.page.get_by_role("button", name="Send now").click()
    phone.until(f"async () => (await ({ROWS})('outbox')).every(({{tries}}) => tries > 1)")
    assert (len(phone.rows()), Run.objects.count()) == (1, 0)


def test_a_refused_item_is_put_right_on_the_phone(phone: Phone, engine: Engine, mechanic: Person) -> None:
    phone.stock(mechanic, f"/engines/{engine.pk}/record/")
    phone.cut()
    number = phone.keep_run(engine, starts="40")
    phone.join()
    phone.send()
    state_shown(phone, "Needs you - ")
    phone.cut()
    phone.page.get_by_role("link", name="Put it right").click()
    alert = phone.page.get_by_role("alert").filter(has_text="Needs you")
    expect(alert).to_be_visible()
    onward = phone.page.locator("[data-step]:visible [data-way=next]")
    pressed_until(phone.page.get_by_label("Why it is so").is_visible, onward.click)
    expect(phone.page.locator("[name=starts]")).to_have_value("40")
    phone.page.get_by_label("Why it is so").fill("Counted twice")
    assert phone.fill_run(remarks="", began="2026-05-04T07:30") == number
    phone.join()
    phone.send()
    phone.emptied()
    assert Run.objects.get().reasons.get().reason == "Counted twice"


def test_a_refused_item_can_be_set_aside_with_a_reason(phone: Phone, kept: Callable[..., list[str]]) -> None:
    kept()
    phone.gate.always = (422, '{"detail": "No.", "code": "sheet_refused"}')
    phone.join()
    phone.send()
    state_shown(phone, "Needs you - No.")
    phone.page.get_by_text("Set it aside", exact=True).first.click()
    phone.page.get_by_label("Why it is not sent").fill("Written twice")
    phone.page.get_by_role("button", name="Set it aside").click()
    expect(phone.page.get_by_text("set aside, Written twice")).to_be_visible()
    assert phone.rows() == []
    assert ["kind", "ground_run"] in phone.rows("receipts")[0]["item"]["fields"]


def test_a_reload_in_the_middle_of_sending(phone: Phone, kept: Callable[..., list[str]]) -> None:
    kept()
    phone.gate.loses_replies = True
    phone.join()
    phone.send()
    phone.page.reload()
    phone.until(f"async () => (await ({ROWS})('outbox')).every(({{state}}) => state !== 'sending')")
    phone.gate.loses_replies = False
    phone.page.get_by_role("button", name="Send now").click()
    phone.emptied()
    assert Run.objects.count() == 1


def test_three_windows_send_each_item_once(phone: Phone, kept: Callable[..., list[str]]) -> None:
    kept(2)
    others = [phone.context.new_page() for _ in range(2)]
    for page in others:
        page.goto(f"{phone.gate.url}/not-sent-yet/")
    phone.go("/not-sent-yet/")
    phone.join()
    for page in [phone.page, *others]:
        page.get_by_role("button", name="Send now").click()
    phone.emptied()
    assert (phone.gate.sent, Run.objects.count()) == (2, 2)


def test_a_clock_26_hours_ahead(phone: Phone, engine: Engine, mechanic: Person) -> None:
    phone.stock(mechanic, f"/engines/{engine.pk}/record/")
    phone.context.clock.set_system_time(datetime.datetime.now(datetime.UTC) + datetime.timedelta(hours=26))
    phone.cut()
    phone.keep_run(engine)
    phone.join()
    phone.send()
    phone.emptied()
    expect(phone.page.get_by_text("The phone's clock was 26 h")).to_be_visible()
    assert Run.objects.get().started_at == datetime.datetime(2026, 5, 4, 7, 30, tzinfo=datetime.UTC)
    assert Concern.objects.filter(kind=Concern.Kind.CLOCK).count() == 1


def test_a_full_store_refuses_loudly_and_loses_nothing(phone: Phone, engine: Engine, mechanic: Person) -> None:
    phone.stock(mechanic, f"/engines/{engine.pk}/record/")
    phone.cut()
    phone.keep_run(engine, remarks="Before")
    phone.page.add_init_script(
        "const add = IDBObjectStore.prototype.add; IDBObjectStore.prototype.add = function (row) {"
        " if (this.name === 'outbox') throw new DOMException('full', 'QuotaExceededError');"
        " return add.call(this, row); }"
    )
    with pytest.raises(AssertionError, match="data-kept"):
        phone.keep_run(engine, remarks="After", began="2026-05-05T07:30")
    expect(phone.page.get_by_role("alert").filter(has_text="Not kept: this device has no room")).to_be_visible()
    assert [dict(row["fields"])["remarks"] for row in phone.rows()] == ["Before"]


def test_another_person_sends_nothing_of_it_and_loses_nothing(
    phone: Phone, kept: Callable[..., list[str]], mechanic: Person, inspector: Person
) -> None:
    kept(2)
    phone.join()
    phone.gate.always = (500, "{}")
    phone.sign_in(inspector)
    phone.gate.always = None
    phone.send()
    expect(phone.page.get_by_role("heading", name=f"2 entries by {mechanic}")).to_be_visible()
    expect(phone.page.get_by_text(f"They wait for {mechanic}")).to_be_visible()
    assert (len(phone.rows()), Run.objects.count()) == (2, 0)
    phone.sign_in(mechanic)
    phone.emptied()
    assert set(Run.objects.values_list("recorded_by", flat=True)) == {mechanic.pk}


def test_a_session_that_ended_asks_to_sign_in_and_sends_then(
    phone: Phone, kept: Callable[..., list[str]], mechanic: Person
) -> None:
    kept(2)
    phone.context.clear_cookies()
    phone.join()
    phone.send()
    expect(phone.page.get_by_text("The server answers. Sign in to send.")).to_be_visible()
    expect(phone.strip()).to_contain_text("Sign in to send 2 entries")
    phone.sign_in_by_screen(mechanic)
    phone.emptied()
    assert Run.objects.count() == 2


def test_it_sends_when_the_screen_comes_back(phone: Phone, kept: Callable[..., list[str]]) -> None:
    kept()
    phone.gate.always = (500, "{}")
    phone.join()
    phone.send()
    phone.until(f"async () => (await ({ROWS})('outbox')).some(({{tries, state}}) => tries > 0 && state === 'kept')")
    # No timer runs any more, and the network says nothing.
    phone.page.clock.install()
    phone.page.clock.pause_at(datetime.datetime.now(datetime.UTC) + datetime.timedelta(minutes=1))
    phone.gate.always = None
    phone.page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    phone.emptied()
    assert Run.objects.count() == 1


def test_the_server_fails_for_eight_days(phone: Phone, kept: Callable[..., list[str]]) -> None:
    kept()
    phone.gate.always = (500, "{}")
    phone.join()
    phone.page.clock.install()
    phone.send()
    phone.until(f"async () => (await ({ROWS})('outbox')).some(({{tries}}) => tries > 0)")
    for day in range(1, 9):
        tried = phone.rows()[0]["tries"]
        phone.page.clock.fast_forward(24 * 3600 * 1000)
        phone.until(f"async () => (await ({ROWS})('outbox')).some(({{tries}}) => tries > {tried})")
        assert (len(phone.rows()), Run.objects.count()) == (1, 0), day
    phone.gate.always = None
    phone.page.clock.fast_forward(3600 * 1000)
    phone.emptied()
    assert Run.objects.count() == 1
