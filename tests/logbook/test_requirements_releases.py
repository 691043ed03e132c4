"""What rules ask of required inspections and of releases, each by its number: 14 CFR 135.427(b), 145.A.50, M.A.305."""

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engines.actions import LimitFacts, limit_add, part_fit, task_add
from engines.errors import DomainError
from engines.models import Component, Engine
from inspections.actions import action_add, finding_add, inspection_begin, step_answer
from inspections.models import Finding, Inspection
from inspections.queries import condition_of
from logbook.actions import inspection_sign
from logbook.conditions import conditions_of
from logbook.maintenance.rows import Work
from logbook.maintenance.rules import rules_choose
from logbook.models import Certificate, Entry, Person
from logbook.second_look import second_look
from logbook.statements.coverage import AUTHORIZATION, CERTIFYING, ENGINEER
from tests.factories import STARTED_AT, CertificateFactory, ComponentFactory, PersonFactory
from tests.logbook.maintenance.kit import certified, opened, sign_on_screen, signed
from tests.logbook.printing.reading import text_of
from tests.logbook.screen_kit import HTMX, act, inspection_opened, signed_in, words
from tests.signed import signing_of

DIRECTIVE = {
    "name": "Disc",
    "kind": "directive",
    "mandatory": True,
    "number": "INV-7",
    "revision": "2",
    "initial": {"days": 30},
    "counts_from": "begun",
    "source": "invented directive",
}
STANDS = "Extended by the authority until the ferry flight, invented letter 4"


@pytest.fixture
def european(director: Person, mechanic: Person) -> None:
    """Let the operator release under the rules of Europe."""
    rules_choose(by=director, ruleset="easa", organisation="Testholm Repair (invented)", approval="TST.145.1")
    certified(mechanic, CERTIFYING)


@pytest.fixture
def overdue(engine: Engine, director: Person) -> str:
    """Have a directive overdue on the engine by a day, and return how that is said."""
    task_add(engine=engine, document=DIRECTIVE, begins_on=timezone.localdate() - timedelta(days=31), by=director)
    return "Overdue: Disc (INV-7 revision 2) (airworthiness directive), 1 day over"


@pytest.fixture
def item(engine: Engine, mechanic: Person) -> Inspection:
    """Return what the limits name as a required inspection item, with its work done."""
    inspection = inspection_begin(inspection=inspection_opened(engine, mechanic), by=mechanic)
    for step in inspection.steps.all():
        step_answer(step=step, answer="done", reason="", by=mechanic)
    return inspection


@pytest.fixture
def other(inspector: Person) -> Person:
    """Return another inspector of the same operator."""
    return PersonFactory.create(operator=inspector.operator, role="inspector")


def ended(inspection: Inspection, by: Person, outcome: str) -> Entry:
    """Sign how an inspection ends."""
    today = timezone.localdate()
    given = {"given_to": "Test owner"} if outcome == "not_approved" else {}
    how: dict[str, Any] = {"outcome": outcome, "extent": "Looked at all of it", "completed_on": today, **given}
    return inspection_sign(inspection=inspection, by=by, signing=signing_of(by), **how)


def rejected(inspection: Inspection, by: Person) -> Finding:
    """Have an inspector find something and not approve the item."""
    CertificateFactory.create(person=by)
    finding = finding_add(inspection=inspection, text="Blade tip rubbed", by=by)
    ended(inspection, by, "not_approved")
    inspection.refresh_from_db()
    return finding


def spent_part(engine: Engine, by: Person) -> Component:
    """Fit a part that has used its life of 100 cycles."""
    part: Component = ComponentFactory.create(operator=engine.operator, brought_cycles=100)
    facts = LimitFacts(amount=100, unit="count", source="Invented limitations, chapter 5", source_revision="3")
    about = {"operator": part.operator, "part_number": part.part_number, "by": by}
    limit_add(kind="life", parameter="cycles", facts=facts, **about)
    part_fit(component=part, engine=engine, position="disc", at=STARTED_AT, by=by)
    return part


def test_r_135_427_b_a_rejection_is_kept_and_leads_to_a_second_entry_after_reinspection(
    item: Inspection, mechanic: Person, inspector: Person, other: Person
) -> None:
    finding = rejected(item, inspector)
    assert not condition_of(item.engine).is_serviceable
    action_add(
        inspection=item,
        finding=finding,
        description="Blade set changed",
        data_reference="Invented manual 72-50, revision 9",
        completed_on=timezone.localdate(),
        by=mechanic,
    )
    with pytest.raises(DomainError) as refused:
        ended(item, mechanic, "approved")
    assert set(refused.value.fields) == {"second"}
    second_look(inspection=item, by=other)
    ended(item, mechanic, "approved")
    first, second = Entry.objects.filter(inspection=item).order_by("number")
    assert (first.body["release"]["outcome"], first.signed_by) == ("not_approved", inspector)
    assert first.body["findings"][0]["text"] == "Blade tip rubbed"
    assert (second.body["release"]["outcome"], second.body["release"]["second_name"]) == ("approved", str(other))


def test_r_135_427_b_nobody_else_overrules_an_inspector(
    client: Client, item: Inspection, mechanic: Person, inspector: Person, other: Person
) -> None:
    rejected(item, inspector)
    inspection_begin(inspection=item, by=mechanic)
    address = reverse("inspection_second", args=[item.pk])
    assert signed_in(client, mechanic).post(address).status_code == 403
    refused = signed_in(client, other).post(address, headers=HTMX)
    assert refused.status_code == 422
    assert f"only {inspector} or the director of maintenance may look again" in words(refused)
    answer = client.post(reverse("api:inspection-second", args=[item.pk]))
    assert (answer.status_code, answer.json()["code"]) == (422, "refusal_stands")
    item.refresh_from_db()
    assert item.second_by is None


@pytest.mark.parametrize("role", ["inspector", "director"])
def test_r_135_427_b_who_refused_looks_again_or_the_head_over_both_functions(
    item: Inspection, mechanic: Person, inspector: Person, director: Person, role: str
) -> None:
    rejected(item, inspector)
    inspection_begin(inspection=item, by=mechanic)
    by = {"inspector": inspector, "director": director}[role]
    assert second_look(inspection=item, by=by).second_by == by


def test_r_135_427_b_what_a_mechanic_did_not_approve_is_no_decision_of_an_inspector(
    item: Inspection, mechanic: Person, other: Person
) -> None:
    rejected(item, mechanic)
    inspection_begin(inspection=item, by=mechanic)
    assert second_look(inspection=item, by=other).second_by == other


def test_r_145_50_a_work_on_an_engine_with_an_overdue_directive_is_released_only_with_a_reason(
    client: Client, european: None, engine: Engine, mechanic: Person, overdue: str
) -> None:
    work = opened(engine, mechanic)
    signed_in(client, mechanic)
    page = words(client.get(reverse("work_detail", args=[work.pk])))
    assert f"{overdue}. Settle it first, or say why it may stand." in page
    assert overdue in words(sign_on_screen(client, work))
    assert not Entry.objects.exists()
    entry = signed(opened(engine, mechanic, justification=STANDS), mechanic)
    assert entry.body["work"]["justification"] == STANDS
    assert f"Overdue, and stands as {STANDS}" in words(client.get(reverse("entry_detail", args=[entry.number])))


def test_r_145_50_b_a_part_beyond_its_limit_blocks_the_release_as_a_directive_does(
    european: None, engine: Engine, mechanic: Person
) -> None:
    part = spent_part(engine, mechanic)
    with pytest.raises(DomainError) as refused:
        signed(opened(engine, mechanic), mechanic)
    assert set(refused.value.fields) == {"justification"}
    assert part.part_number in refused.value.message


def test_r_145_50_b_an_inspection_of_an_exceedance_is_released_only_with_a_reason_too(
    client: Client, european: None, item: Inspection, mechanic: Person, overdue: str
) -> None:
    second_look(inspection=item, by=PersonFactory.create(operator=item.operator, role="inspector"))
    signed_in(client, mechanic)
    said: dict[str, Any] = {
        "outcome": "approved",
        "extent": "Looked at all of it",
        "completed_on": timezone.localdate().isoformat(),
        "certificate": mechanic.certificates.get().pk,
        "limitations": "none",
        "incomplete": "none",
    }
    address = reverse("inspection_sign", args=[item.pk])
    refused = client.post(address, said)
    assert refused.status_code == 422
    assert f"{overdue}. Settle it first, or say why it may stand." in words(refused)
    assert "Why something overdue may stand" in words(refused)
    assert act(client, "inspection_sign", [item.pk], **said, justification=STANDS).status_code == 302
    entry = Entry.objects.get(inspection=item)
    assert entry.body["release"]["statement"].endswith(f"Overdue, and stands as: {STANDS}.")


def test_r_145_50_b_a_refusal_releases_nothing_and_is_signed_whatever_is_overdue(
    european: None, item: Inspection, mechanic: Person, overdue: str
) -> None:
    rejected(item, mechanic)
    assert Entry.objects.get(inspection=item).body["release"]["outcome"] == "not_approved"


def test_r_145_50_a_work_without_its_release_holds_the_engine_on_the_ground(
    european: None, engine: Engine, mechanic: Person
) -> None:
    work = opened(engine, mechanic)
    condition = conditions_of([engine])[engine.pk]
    assert not condition.is_serviceable
    assert condition.reasons == (f"Work {work.number}: Maintenance is begun and not signed",)
    signed(work, mechanic)
    assert conditions_of([engine])[engine.pk].is_serviceable


def test_r_305_a_a_clock_of_30_days_runs_until_the_release_is_in_the_record(
    client: Client, european: None, engine: Engine, mechanic: Person
) -> None:
    on = timezone.localdate() - timedelta(days=31)
    work = opened(engine, mechanic, completed_on=on.isoformat())
    signed_in(client, mechanic)
    last = on + timedelta(days=30)
    clock = f"Completed on {on}: its release has to be in the record by {last}, 1 day over (M.A.305(a))."
    assert clock in words(client.get(reverse("work_list")))
    assert clock in words(client.get(reverse("work_detail", args=[work.pk])))
    entry = signed(work, mechanic)
    assert "has to be in the record" not in words(client.get(reverse("work_list"), {"state": "all"}))
    shown = words(client.get(reverse("entry_detail", args=[entry.number])))
    assert f"It had to be in the record by {last}: 1 day over (M.A.305(a))." in shown


def test_r_305_a_rules_that_name_no_days_start_no_clock(
    client: Client, engine: Engine, mechanic: Person, director: Person
) -> None:
    rules_choose(by=director, ruleset="us")
    work = opened(engine, mechanic, completed_on=(timezone.localdate() - timedelta(days=31)).isoformat())
    signed_in(client, mechanic)
    for page in (reverse("work_list"), reverse("work_detail", args=[work.pk])):
        assert "has to be in the record" not in words(client.get(page))


def test_r_42_760_a_release_says_that_it_is_one_for_which_aircraft_under_which_approval_and_by_whom(
    client: Client, engine: Engine, mechanic: Person, director: Person
) -> None:
    rules_choose(by=director, ruleset="australia", organisation="Testholm Repair (invented)", approval="INV 145-7")
    certificate = certified(mechanic, CERTIFYING)
    Engine.objects.update(fitted_to="VH-TST (invented)")
    engine.refresh_from_db()
    signed_in(client, mechanic)
    entry = signed(opened(engine, mechanic), mechanic)
    printed = text_of(client.get(reverse("entry_print", args=[entry.number])).content)
    named = f"{mechanic}, {certificate.kind} {certificate.number}"
    for said in ("Certificate of release to service.", "Aircraft VH-TST (invented).", "Approval: INV 145-7.", named):
        assert said in printed


def test_r_42_760_a_licence_stands_by_itself_and_an_authorisation_does_not(
    engine: Engine, mechanic: Person, director: Person
) -> None:
    rules_choose(by=director, ruleset="australia")
    Engine.objects.update(fitted_to="VH-TST (invented)")
    engine.refresh_from_db()
    certificate = certified(mechanic, CERTIFYING)
    work = opened(engine, mechanic)
    with pytest.raises(DomainError, match="the director enters its approval with the rules") as refused:
        signed(work, mechanic)
    assert (refused.value.code, set(refused.value.fields)) == ("release_unnamed", {"approval"})
    Certificate.objects.filter(pk=certificate.pk).update(covers=[ENGINEER])
    statement = signed(work, mechanic).body["release"]["statement"]
    assert "Approval: none, by the signer's own licence." in statement
    assert f"{mechanic}, {certificate.kind} {certificate.number}" in statement


def test_r_42_760_a_release_of_an_engine_fitted_to_no_aircraft_is_refused(
    engine: Engine, mechanic: Person, director: Person
) -> None:
    rules_choose(by=director, ruleset="australia", organisation="Testholm Repair (invented)", approval="INV 145-7")
    certified(mechanic, CERTIFYING)
    Engine.objects.update(fitted_to="")
    engine.refresh_from_db()
    with pytest.raises(DomainError, match="is recorded as fitted to none") as refused:
        signed(opened(engine, mechanic), mechanic)
    assert (refused.value.code, set(refused.value.fields)) == ("release_unnamed", {"registration"})


def test_r_91_409_e_an_inspection_under_a_programme_names_it_and_a_spent_part_keeps_the_engine_on_the_ground(
    engine: Engine, mechanic: Person, director: Person
) -> None:
    rules_choose(by=director, ruleset="us")
    certified(mechanic, AUTHORIZATION)
    spent = spent_part(engine, mechanic)
    said = {"inspection_kind": "programme", "programme": "Invented programme 3, revision 2", "part": "phase 4"}
    for change, field in (({"programme": "", "justification": STANDS}, "programme"), ({}, "justification")):
        with pytest.raises(DomainError) as refused:
            signed(opened(engine, mechanic, "inspection", **said | change), mechanic)
        assert set(refused.value.fields) == {field}
        Work.objects.update(state=Work.State.DROPPED)
    entry = signed(opened(engine, mechanic, "inspection", **said, justification=STANDS), mechanic)
    assert "under Invented programme 3, revision 2, phase 4" in entry.body["release"]["statement"]
    condition = conditions_of([engine])[engine.pk]
    assert not condition.is_serviceable
    assert spent.part_number in condition.reasons[0]
