"""Paper about an engine: status report, log card, discrepancy lists, open and deferred items; what is blank says so."""

import datetime
import io
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pikepdf import Pdf, pdfa

from engines.actions import part_fit, task_add
from engines.models import Engine, TaskRecord
from inspections import states
from inspections.models import Inspection
from logbook.maintenance.rows import Discrepancy, DiscrepancyLine, Rules
from logbook.models import Entry, Person
from logbook.printing.engine_sheet import KNOWN
from logbook.printing.retention import KEEP, keep_of, keep_words
from tests.factories import STARTED_AT, ComponentFactory, InspectionFactory, RunFactory
from tests.logbook.printing.bodies import inspection_entry, run_entry
from tests.logbook.printing.reading import pages_of
from tests.logbook.screen_kit import signed_in, words
from tests.signed import entry_made

DAY = datetime.timedelta(days=1)
FIRST = STARTED_AT.date()
PAPERS = ("status_print", "card_print", "discrepancies_print", "open_items_print")


@pytest.fixture
def auditing(client: Client, auditor: Person) -> Client:
    """Return the client of the auditor."""
    return signed_in(client, auditor)


def printed(client: Client, engine: Engine, name: str, paper: str = "a4") -> str:
    """Return the text of a document about an engine."""
    response = client.get(f"{reverse(name, args=[engine.pk])}?paper={paper}")
    assert response["Content-Type"] == "application/pdf"
    with Pdf.open(io.BytesIO(response.content)) as pdf:
        assert pdfa.check(pdf, "2b").verdict == "pass"
    return " ".join(pages_of(response.content))


def work_entry(**work: Any) -> dict[str, Any]:
    return run_entry(kind="work", title="Maintenance: turbine case replaced", work=work, release={"label": "Approved"})


@pytest.mark.parametrize("name", PAPERS)
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_an_engine_without_a_record_has_every_paper(name: str, paper: str, engine: Engine, auditing: Client) -> None:
    text = printed(auditing, engine, name, paper)
    assert f"Engine serial {engine.serial}" in text
    assert f"As of {timezone.localdate()}" in text
    assert "Keep at least as your authority asks" in text
    assert KNOWN in text
    assert "No entries below this line" in text
    assert "None " not in text.replace("None recorded.", "")


@pytest.mark.parametrize("name", PAPERS)
def test_another_operators_engine_is_not_there(name: str, engine: Engine, client: Client, stranger: Person) -> None:
    assert signed_in(client, stranger).get(reverse(name, args=[engine.pk])).status_code == 404


# R-91.417-b-2: items (i) to (vi) of 14 CFR 91.417(a)(2) on one document, dated.
def test_the_status_report_has_every_item_in_order(engine: Engine, auditing: Client) -> None:
    text = printed(auditing, engine, "status_print")
    titles = [
        "(i) Total time in service",
        "(ii) Life-limited parts",
        "(iii) Time since last overhaul",
        "(iv) Inspection status: last done, time since, next due",
        "(v) Airworthiness directives and safety directives",
        "(vi) Forms for major repairs and alterations",
    ]
    places = [text.index(title) for title in titles]
    assert places == sorted(places)
    assert "14 CFR 91.417(a)(2), items (i) to (vi)" in text


def test_the_status_report_tells_times_since_new_and_since_overhaul(
    engine: Engine, mechanic: Person, auditing: Client
) -> None:
    Engine.objects.filter(pk=engine.pk).update(
        opening_time_in_service_s=360_000, opening_run_time_s=396_000, overhauled_on=FIRST - DAY
    )
    RunFactory.create(engine=engine, recorded_by=mechanic, run_time_s=7200, time_in_service_s=3600)
    text = printed(auditing, engine, "status_print")
    assert "Engine, since new 101.0 h 112.0 h" in text
    assert f"last overhaul {FIRST - DAY} this record 1.0 h in service 2.0 h run" in text


def test_the_status_report_says_where_times_come_from_and_when_they_were_corrected(
    engine: Engine, mechanic: Person, auditing: Client
) -> None:
    opening = {"opening": {"basis_words": "Reconstructed from invoices"}, "title": "Opening balance"}
    entry_made(engine, opening, mechanic, FIRST, kind=Entry.Kind.OPENING)
    run = entry_made(engine, run_entry(), mechanic, FIRST)
    entry_made(engine, run_entry(), mechanic, FIRST, corrects=run)
    text = printed(auditing, engine, "status_print")
    assert "When the record here began: Reconstructed from invoices (entry 1)." in text
    assert f"Corrected last on {timezone.localdate()} by entry 3, in place of entry 2." in text


def test_major_alterations_are_listed_with_their_forms(engine: Engine, mechanic: Person, auditing: Client) -> None:
    body = work_entry(is_major="yes", description="Case replaced", form_reference="Form 7, invented")
    entry_made(engine, body, mechanic, FIRST, kind=Entry.Kind.WORK)
    entry_made(engine, work_entry(is_major="no", description="Oil changed"), mechanic, FIRST, kind=Entry.Kind.WORK)
    text = printed(auditing, engine, "status_print")
    assert f"1 {FIRST} Case replaced Form 7, invented" in text
    assert "Oil changed" not in text


def test_the_log_card_tells_who_where_runs_work_and_parts(engine: Engine, mechanic: Person, auditing: Client) -> None:
    """R-logcard and R-UKLB."""
    entry_made(engine, run_entry(), mechanic, FIRST)
    moved = {**run_entry()["engine"], "fitted_to": "Aircraft XX-1", "position": "left"}
    entry_made(engine, run_entry(engine=moved), mechanic, FIRST + DAY)
    entry_made(engine, inspection_entry(engine=moved), mechanic, FIRST + 2 * DAY, kind=Entry.Kind.INSPECTION)
    part = ComponentFactory.create(operator=engine.operator, part_number="P-1", serial="S-77", description="Disc")
    part_fit(component=part, engine=engine, position="stage 1", at=STARTED_AT, by=mechanic)
    text = printed(auditing, engine, "card_print")
    for fact in (
        "Constructor not recorded Date of construction not recorded Last overhaul not recorded",
        f"{FIRST} test stand 2 not recorded entry 1",
        f"{FIRST + DAY} Aircraft XX-1 left entry 2",
        f"{FIRST} 1 Ground run 0.63 h run, 0.00 h in service 1138.9 h in service, 1204.6 h run, 812 starts, 799 cycles",
        "Hot section inspection Approved for return to service",
        f"{FIRST} P-1, serial S-77 Disc Fitted stage 1",
        "Directives, bulletins and modifications None recorded.",
        "Deferred items None recorded.",
    ):
        assert fact in text


def test_the_log_card_leaves_out_what_another_entry_stands_for(
    engine: Engine, mechanic: Person, auditing: Client
) -> None:
    wrong = entry_made(engine, work_entry(title="Written wrong"), mechanic, FIRST, kind=Entry.Kind.WORK)
    right = run_entry(title="Written right")
    entry_made(engine, right, mechanic, FIRST, kind=Entry.Kind.WORK, corrects=wrong)
    text = printed(auditing, engine, "card_print")
    assert "Written right" in text
    assert "turbine case" not in text


# R-43.11-b-1: number, item, discrepancy, basis not met, date, signature, recipient, date given.
def test_a_discrepancy_list_has_all_that_the_rule_asks(engine: Engine, mechanic: Person, auditing: Client) -> None:
    body = inspection_entry()
    body["release"] |= {"outcome": states.NOT_APPROVED, "label": "Not approved", "given_to": "Test Owner"}
    inspection = InspectionFactory.create(run=RunFactory(engine=engine, recorded_by=mechanic))
    entry = entry_made(
        engine, body, mechanic, FIRST, kind=Entry.Kind.INSPECTION, inspection=inspection, run=inspection.run
    )
    text = printed(auditing, engine, "discrepancies_print")
    on = timezone.localdate()
    for fact in (
        f"List 1, dated 2026-05-05, of entry {entry.number}: Hot section inspection.",
        "Outcome: Not approved.",
        f"Signed by {mechanic}, {mechanic.certificates.get().kind} {mechanic.certificates.get().number}, {on}",
        f"Given to Test Owner, on {on}.",
        "1 Engine TB-0001 Nozzle 4 sprays to one side invented manual 72-00, revision 3;",
        "invented for the tests, page 2 Open: Open",
    ):
        assert fact in text
    Inspection.objects.update(state=states.APPROVED)
    assert "Closed, inspection approved" in printed(auditing, engine, "discrepancies_print")


def test_an_approved_inspection_gives_no_list(engine: Engine, mechanic: Person, auditing: Client) -> None:
    entry_made(engine, inspection_entry(), mechanic, FIRST, kind=Entry.Kind.INSPECTION)
    assert "No list of discrepancies was signed" in printed(auditing, engine, "discrepancies_print")


@pytest.fixture
def listed(engine: Engine, mechanic: Person) -> Entry:
    """Return an inspection with two discrepancies: one open, one deferred."""
    scheduled = {"list": 4, "list_date": "2026-05-07", "inspection": "100 hours"}
    body = run_entry(kind="inspection", title="100 hours", scheduled=scheduled)
    body["release"] = {"outcome": "inspection_not_approved", "label": "Not approved", "given_to": "Test Owner"}
    entry = entry_made(engine, body, mechanic, FIRST, kind=Entry.Kind.INSPECTION)
    lines: list[dict[str, Any]] = [
        {"state": DiscrepancyLine.State.OPEN},
        {
            "state": DiscrepancyLine.State.DEFERRED,
            "deferral": "List of what may be inoperative, item 5",
            "placard_by": "Test Mechanic",
            "placard_on": FIRST,
        },
    ]
    for number, line in enumerate(lines, 1):
        row = Discrepancy.objects.create(
            operator=engine.operator,
            number=number,
            engine=engine,
            entry=entry,
            text=f"Fault {number}",
            basis="Manual 72-00",
        )
        DiscrepancyLine.objects.create(discrepancy=row, entry=entry, **line)
    return entry


# R-91.417-b-3, R-43.11-b-2.
def test_each_line_of_a_list_says_how_it_stands(listed: Entry, engine: Engine, auditing: Client) -> None:
    text = printed(auditing, engine, "discrepancies_print")
    assert "List 4 of 2026-05-07" in text
    assert f"1 Engine TB-0001 Fault 1 Manual 72-00 Open, entry {listed.number}" in text
    assert f"2 Engine TB-0001 Fault 2 Manual 72-00 Deferred, inoperative permitted, entry {listed.number}" in text


def test_open_and_deferred_items_are_listed_apart(
    listed: Entry, engine: Engine, mechanic: Person, auditing: Client
) -> None:
    inspection = InspectionFactory.create(run=RunFactory(engine=engine, recorded_by=mechanic))
    text = printed(auditing, engine, "open_items_print")
    opened, deferred = text.split("Deferred items")
    assert f"Inspection {inspection.number} {inspection.summary}" in opened
    assert f"Discrepancy 1 Fault 1 Manual 72-00 {FIRST} Open" in opened
    assert f"2 Fault 2 List of what may be inoperative, item 5 Test Mechanic, {FIRST} entry 1" in deferred


@pytest.mark.parametrize(("ruleset", "words"), [("us", "91.417(b)(2)"), ("easa", "36 months"), ("canada", "2 years")])
def test_each_paper_says_how_long_it_is_kept_at_least(
    ruleset: str, words: str, engine: Engine, director: Person, auditing: Client
) -> None:
    Rules.objects.create(operator=engine.operator, ruleset=ruleset, by=director)
    assert words in printed(auditing, engine, "status_print").split("Keep at least")[1][:200]


@pytest.mark.parametrize("ruleset", [*KEEP, None])
def test_every_rule_set_has_a_minimum_for_every_record(ruleset: str | None) -> None:
    for record in ("work", "status", "discrepancies"):
        assert keep_words(record, ruleset).endswith("Nothing is removed here by itself.")


@pytest.mark.parametrize(
    ("body", "record", "ruleset"),
    [
        ({"kind": "run"}, "work", None),
        ({"kind": "work", "release": {"ruleset": "us", "outcome": "work"}}, "work", "us"),
        ({"kind": "part_fitted"}, "status", None),
        ({"kind": "opening"}, "status", None),
        ({"kind": "inspection", "release": {"outcome": "not_approved"}}, "discrepancies", None),
        (
            {"kind": "inspection", "release": {"ruleset": "easa", "outcome": "inspection_not_approved"}},
            "discrepancies",
            "easa",
        ),
    ],
)
def test_an_entry_is_kept_by_the_rules_it_was_signed_under(
    body: dict[str, Any], record: str, ruleset: str | None
) -> None:
    assert keep_of(body) == keep_words(record, ruleset)


def test_an_entry_says_on_screen_and_paper_how_long_it_is_kept(
    engine: Engine, mechanic: Person, auditing: Client
) -> None:
    entry_made(engine, run_entry(), mechanic, FIRST)
    said = f"Keep at least: {keep_of(run_entry())}"
    assert said in words(auditing.get(reverse("entry_detail", args=[1])))
    assert said in " ".join(pages_of(auditing.get(reverse("entry_print", args=[1])).content))


def test_the_status_report_tells_what_was_used_since_a_task_was_done(
    engine: Engine, mechanic: Person, auditing: Client
) -> None:
    document = {"name": "Look inside", "kind": "inspection", "mandatory": True, "repeat": {"time_in_service_h": 100}}
    task = task_add(engine=engine, document=document, begins_on=FIRST, by=mechanic)
    TaskRecord.objects.create(
        engine=engine,
        task=task,
        name="Look inside",
        outcome=TaskRecord.Outcome.DONE,
        on=FIRST,
        used={"time_in_service": 3600, "run_time": 3600, "starts": 2, "cycles": 1},
        by=mechanic,
    )
    Engine.objects.filter(pk=engine.pk).update(opening_time_in_service_s=39_600, opening_run_time_s=3600)
    assert "Since then: 10.0 h of time in service" in printed(auditing, engine, "status_print")


@pytest.mark.parametrize(("record", "ruleset"), [("photo", "us"), ("work", "moon")])
def test_an_unknown_record_or_rule_set_is_refused(record: str, ruleset: str) -> None:
    with pytest.raises(ValueError, match="There is no minimum"):
        keep_words(record, ruleset)
