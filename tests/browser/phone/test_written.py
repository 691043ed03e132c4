"""Work and the checks before a start, written down without signal and sent as everything else is."""

from django.urls import reverse
from playwright.sync_api import expect

from engines.models import Engine, StartCheck
from logbook.maintenance import actions
from logbook.maintenance.rows import Work
from logbook.models import Concern, Person
from tests.browser.phone.kit import Phone
from tests.stage_checks import checks_asked


def test_work_is_begun_without_signal_and_arrives_unsigned(phone: Phone, engine: Engine, mechanic: Person) -> None:
    address = reverse("work_add", args=[engine.pk, "work"])
    phone.stock(mechanic, address)
    phone.cut()
    page = phone.go(address)
    expect(phone.strip()).to_be_visible()
    page.get_by_label("What was done").fill("Fuel nozzle cleaned")
    page.reload()
    expect(page.get_by_label("What was done")).to_have_value("Fuel nozzle cleaned")
    page.get_by_label("Section or task").fill("73-10")
    page.get_by_role("button", name="Keep it as it is written").click()
    expect(page.locator("[data-kept]")).to_contain_text(f"Maintenance of {engine.serial}. It goes to the server")
    (row,) = phone.rows()
    assert (row["kind"], row["about"], row["author"]) == ("work", f"{engine.pk}/work", mechanic.pk)
    phone.join()
    phone.send()
    phone.emptied()
    work = Work.objects.get()
    assert (work.facts["description"], work.facts["data_section"]) == ("Fuel nozzle cleaned", "73-10")
    assert (work.opened_by, work.state) == (mechanic, Work.State.OPEN)
    expect(page.get_by_text("It is no entry until it is signed.")).to_be_visible()


def test_work_that_was_written_on_meanwhile_stays_and_the_director_is_told(
    phone: Phone, engine: Engine, mechanic: Person, director: Person
) -> None:
    work = actions.work_open(engine=engine, kind=Work.Kind.WORK, facts={"description": "Begun"}, by=mechanic)
    address = reverse("work_change", args=[work.pk])
    phone.stock(mechanic, address)
    phone.cut()
    for words in ("On the phone", "On the phone, again"):
        page = phone.go(address)
        page.get_by_label("What was done").fill(words)
        page.get_by_role("button", name="Keep it as it is written").click()
        expect(page.locator("[data-kept]")).to_be_visible()
    first, second = phone.rows()
    assert second["after"] == [first["id"]]
    phone.gate.refused = {second["id"]: (500, "{}")}
    phone.join()
    phone.send()
    phone.until("async () => (await navigator.locks.query()).held.length === 0")
    work.refresh_from_db()
    assert work.facts["description"] == "On the phone"
    actions.work_change(work=work, facts={"description": "At the desk"}, by=director)
    phone.gate.refused = {}
    phone.send()
    phone.emptied()
    expect(phone.page.get_by_text(f"Stored. Written on meanwhile by {director}")).to_be_visible()
    work.refresh_from_db()
    assert work.facts["description"] == "At the desk"
    concern = Concern.objects.get(kind=Concern.Kind.KEPT_LATE)
    assert (concern.engine, "On the phone, again" in concern.reason) == (engine, True)


def test_checks_before_a_start_are_answered_without_signal(phone: Phone, engine: Engine, mechanic: Person) -> None:
    checks_asked(engine)
    address = f"/engines/{engine.pk}/checks/"
    phone.stock(mechanic, address)
    phone.cut()
    page = phone.go(address)
    page.get_by_label("As it should be", exact=True).check()
    page.get_by_label("Battery at rest").fill("22,5")
    page.get_by_role("button", name="Keep the answers").click()
    expect(page.locator("[data-kept]")).to_contain_text(f"Checks before a start of {engine.serial}")
    phone.join()
    phone.send()
    expect(page.get_by_text("Needs you - ")).to_be_visible()
    phone.cut()
    page.get_by_role("link", name="Put it right").click()
    page.get_by_label("Why it is so").fill("Ground power goes on next")
    page.get_by_role("button", name="Keep the answers").click()
    expect(page.locator("[data-kept]")).to_be_visible()
    (row,) = phone.rows()
    phone.join()
    phone.send()
    phone.emptied()
    check = StartCheck.objects.get()
    assert (str(check.pk), check.by, check.at.isoformat()[:19]) == (row["id"], mechanic, row["kept_at"][:19])
    assert [answer["reason"] for answer in check.wrong] == ["Ground power goes on next"]
    assert Concern.objects.get(kind=Concern.Kind.CHECK).engine == engine
