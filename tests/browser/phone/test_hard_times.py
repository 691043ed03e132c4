"""What else goes wrong on a phone: a dead access point, a store that dies, old entries, an iPhone's two boxes."""

import datetime
import re
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from engines.models import Engine, Run
from inspections.actions import inspection_assign
from logbook.models import Person
from tests.browser.phone.gate import Gate
from tests.browser.phone.kit import PHONE, Phone
from tests.harness.waits import answer, pressed_until
from tests.logbook.screen_kit import inspection_opened

IPHONE = (
    "Mozilla/5.0 (iPhone; CPU iPhone OS 17_5 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) "
    "Version/17.5 Mobile/15E148 Safari/604.1"
)
# The connection dies as it does while a phone sleeps: so often, and works again when it is opened anew.
DYING = """
  let left = TIMES;
  const { transaction } = IDBDatabase.prototype;
  IDBDatabase.prototype.transaction = function (names, mode, how) {
    const isOutbox = mode === "readwrite" && [names].flat().includes("outbox");
    if (isOutbox && left-- > 0) throw new DOMException("closed", "InvalidStateError");
    return transaction.call(this, names, mode, how);
  };
"""
# Another window writes, reads and removes its trial between what this one writes and reads.
TRIED_BETWEEN = """async () => {
  const { store } = await import("/static/logbook/js/outbox/store.js");
  const { get } = IDBObjectStore.prototype;
  let other = null;
  IDBObjectStore.prototype.get = function (key) {
    if (other || !String(key).startsWith("trial")) return get.call(this, key);
    const [asked, { db }] = [{}, this.transaction];
    other = store.works();
    other.then(() => {
      const late = get.call(db.transaction("facts").objectStore("facts"), key);
      late.onsuccess = () => asked.onsuccess((asked.result = late.result));
    });
    return asked;
  };
  return [await store.works(), await other];
}"""
MARK = """async ([state, change]) => {
  const { box } = await import("/static/logbook/js/outbox/box.js");
  const [item] = await box.all();
  await box.mark(item.id, { state, ...change });
}"""
STATES = [
    ("kept", {}, "Kept on this phone"),
    ("sending", {}, "Sending"),
    ("unsure", {}, "Not sure - checking"),
    (
        "refused",
        {"refusal": {"words": "The meter ran backwards.", "fields": {}}},
        "Needs you - The meter ran backwards.",
    ),
]


def stocked(phone: Phone, engine: Engine, mechanic: Person) -> None:
    """Keep one run without signal."""
    phone.stock(mechanic, f"/engines/{engine.pk}/record/")
    phone.cut()
    phone.keep_run(engine)


def test_an_access_point_that_leads_nowhere_holds_nothing_up(phone: Phone, engine: Engine, mechanic: Person) -> None:
    phone.stock(mechanic, f"/engines/{engine.pk}/record/")
    page = phone.go(f"/engines/{engine.pk}/record/")
    page.wait_for_function("() => document.querySelector('form.walked')")
    page.clock.install()
    phone.gate.answers.clear()
    assert page.evaluate("navigator.onLine")
    page.get_by_label("Ground run").check()

    def onward() -> None:
        if page.locator("[name=started_at]").is_visible():
            page.locator("[name=started_at]").fill("2026-05-04T07:30")
        page.locator("[data-step]:visible [data-way=next]").click()

    pressed_until(page.get_by_role("button", name="Record the run").is_visible, onward)
    page.get_by_role("button", name="Record the run").click(no_wait_after=True)
    page.clock.run_for(100)
    expect(page.get_by_text("Asking the server.")).to_be_visible()
    page.clock.run_for(8000)
    expect(page.locator("[data-kept]")).to_contain_text("Kept on this phone")
    assert len(phone.rows()) == 1
    phone.gate.answers.set()
    phone.send()
    phone.emptied()
    assert Run.objects.count() == 1


def test_a_press_after_the_session_has_ended_opens_the_sign_in_screen_whole(
    phone: Phone, engine: Engine, mechanic: Person
) -> None:
    job = inspection_assign(inspection=inspection_opened(engine, mechanic), to=mechanic, by=mechanic)
    address = f"/inspections/{job.pk}/"
    phone.stock(mechanic, address)
    page = phone.go(address)
    expect(phone.strip()).to_be_visible()
    phone.context.clear_cookies(name="sessionid")
    page.get_by_role("button", name="Done", exact=True).first.click()
    page.wait_for_url(f"**/sign-in/?next={address}")
    expect(page.locator("h1")).to_have_count(1)
    expect(page.locator("main")).to_have_count(1)
    assert not job.steps.exclude(answer="").exists()


def test_a_screen_that_never_comes_gives_way_to_the_kept_one(phone: Phone, engine: Engine, mechanic: Person) -> None:
    phone.stock(mechanic, f"/engines/{engine.pk}/record/", "/engines/")
    phone.gate.answers.clear()
    page = phone.go("/engines/")
    expect(page.get_by_text("No signal. This is what the server had")).to_be_visible()
    phone.gate.answers.set()


def test_a_store_that_died_is_opened_again(phone: Phone, engine: Engine, mechanic: Person) -> None:
    phone.context.add_init_script(DYING.replace("TIMES", "1"))
    stocked(phone, engine, mechanic)
    assert len(phone.rows()) == 1


def test_windows_that_try_the_store_at_one_moment_are_not_in_each_others_way(phone: Phone, mechanic: Person) -> None:
    page = phone.stock(mechanic)
    assert answer(page, TRIED_BETWEEN) == [True, True]
    assert not [row for row in phone.rows("facts") if row["name"].startswith("trial")]


def test_a_store_that_stays_dead_says_so(phone: Phone, engine: Engine, mechanic: Person) -> None:
    phone.context.add_init_script(DYING.replace("TIMES", "1e9"))
    phone.stock(mechanic, f"/engines/{engine.pk}/record/")
    phone.cut()
    with pytest.raises(AssertionError, match="data-kept"):
        phone.keep_run(engine)
    expect(phone.page.get_by_role("alert").filter(has_text="Not kept: this device has no room")).to_be_visible()
    assert phone.rows() == []


@pytest.mark.parametrize(
    ("hours", "says"), [(25, r"1 kept on this phone, the oldest for 25 hours$"), (73, r"73 hours\. Take this device")]
)
def test_what_waits_for_days_is_said_louder(
    hours: int, says: str, phone: Phone, engine: Engine, mechanic: Person
) -> None:
    stocked(phone, engine, mechanic)
    phone.context.clock.set_system_time(datetime.datetime.now(datetime.UTC) + datetime.timedelta(hours=hours))
    phone.go("/not-sent-yet/")
    expect(phone.strip()).to_contain_text(re.compile(says))
    assert ("needs-you" in str(phone.strip().get_attribute("class"))) == (hours > 72)


def test_an_iphones_browser_is_told_of_the_home_screen(browser: Browser, gate: Gate, mechanic: Person) -> None:
    context = browser.new_context(user_agent=IPHONE, viewport=PHONE)  # type: ignore[arg-type]
    phone = Phone(context, gate)
    page = phone.sign_in(mechanic)
    expect(page.locator("[data-home-screen]")).to_contain_text("Share, then Add to Home Screen")
    page = phone.go("/not-sent-yet/")
    expect(page.locator("[data-home-screen]")).to_contain_text("what is kept here is not there")
    page.add_init_script("Object.defineProperty(navigator, 'standalone', { value: true })")
    page = phone.go("/engines/")
    expect(page.locator("[data-sent-strip]")).to_be_visible()
    expect(page.locator("[data-home-screen]")).to_have_count(0)
    context.close()


def test_each_state_is_said_in_words_and_nothing_is_called_saved_before_its_receipt(
    phone: Phone, engine: Engine, mechanic: Person, tmp_path: Path
) -> None:
    phone.stock(mechanic, f"/engines/{engine.pk}/record/")
    phone.cut()
    phone.keep_run(engine)
    assert "saved" not in phone.page.locator("body").inner_text().lower()
    page, seen = phone.go("/not-sent-yet/"), set()
    for state, change, words in STATES:
        answer(page, MARK, [state, change])
        expect(page.locator("[data-item] .item-state")).to_have_text(words)
        assert "saved" not in page.locator("body").inner_text().lower()
        seen.add(page.screenshot(path=tmp_path / f"{state}.png"))
    answer(page, MARK, ["kept", {}])
    phone.join()
    phone.send()
    phone.emptied()
    expect(page.get_by_text(re.compile(r"Received - no\. \d+, \d\d:\d\d"))).to_be_visible()
    seen.add(page.screenshot(path=tmp_path / "received.png"))
    assert len(seen) == len(STATES) + 1
