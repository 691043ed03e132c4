"""What is open and what is deferred on an engine, and the dated lists of what was found wrong: 14 CFR 43.11(b)."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any, Final

from django.db.models import Q
from django.utils import timezone

from engines.due import NOT_KNOWN, REACHED
from engines.models import Engine
from inspections.models import Inspection
from inspections.queries import due_of, inspection_open_list, overrun_of, overrun_words
from inspections.states import APPROVED, NOT_APPROVED
from logbook.corrections import first_of
from logbook.engine_papers.sheets import sheet_of, signer_words, standing_entries
from logbook.maintenance.queries import with_states
from logbook.maintenance.rows import Discrepancy, DiscrepancyLine, Work
from logbook.models import Entry, Person
from logbook.printing.engine_sheet import EngineSheet, Listing
from logbook.printing.retention import DISCREPANCIES
from logbook.printing.tasks import HEADINGS, WIDTHS, task_row
from logbook.printing.wording import day_text, given
from logbook.statements.elements import REFUSALS

OPEN_TITLE: Final = "Open and deferred items"
LISTS_TITLE: Final = "Discrepancy lists"
UNDER: Final = "14 CFR 43.11(b): signed and dated lists given to the owner or lessee"
LIST: Final = ("No.", "Item", "Discrepancy", "Basis not met", "Stands now")
LIST_SHARES: Final = (0.08, 0.17, 0.3, 0.24, 0.21)
NO_LIST: Final = "No list of discrepancies was signed for this engine."


def open_items_sheet(user: Person, engine: Engine) -> EngineSheet:
    """Return what is open and deferred on an engine now."""
    due = due_of([engine])
    overdue = [task_row(s) for s in due.tasks[engine.pk] if s.state in (REACHED, NOT_KNOWN)]
    beyond = overrun_of(due.parts.get(engine.pk, ()))
    begun = Work.objects.filter(engine=engine, state=Work.State.OPEN).select_related("opened_by")
    listings = [
        open_listing(user, engine),
        deferred_listing(engine),
        Listing("Overdue tasks", HEADINGS, WIDTHS, overdue),
        Listing(
            "Limits of parts reached, passed or not known",
            ("Limit", "By"),
            (0.6, 0.4),
            [[overrun_words(part), part.source] for part in beyond],
        ),
        Listing(
            "Begun and not signed",
            ("No.", "What", "Opened", "By"),
            (0.1, 0.4, 0.25, 0.25),
            [[w.number, w.get_kind_display(), _day(w.opened_at), str(w.opened_by)] for w in begun],
        ),
    ]
    return sheet_of(engine, OPEN_TITLE, [], listings, DISCREPANCIES)


def open_listing(user: Person, engine: Engine) -> Listing:
    """Return the open inspections and discrepancies of an engine."""
    rows = [
        [f"Inspection {i.number}", i.summary, i.rule, _day(i.opened_at), i.get_state_display()]
        for i in inspection_open_list(user).filter(engine=engine)
    ]
    rows += [
        [f"Discrepancy {d.number}", d.text_now, d.basis_now, day_text(d.entry.completed_on), "Open"]
        for d in _standing_as(engine, DiscrepancyLine.State.OPEN)
    ]
    headings = ("Item", "What", "Called for by, basis not met", "Since", "State")
    return Listing("Open items", headings, (0.18, 0.3, 0.22, 0.14, 0.16), rows)


def deferred_listing(engine: Engine) -> Listing:
    """Return what is deferred on an engine, inoperative permitted, with its basis and placard."""
    rows = []
    for discrepancy in _standing_as(engine, DiscrepancyLine.State.DEFERRED):
        line = discrepancy.lines.all()[len(discrepancy.lines.all()) - 1]
        placard = f"{given(line.placard_by)}, {day_text(line.placard_on)}"
        reference = f"entry {line.entry.number}"
        rows.append([discrepancy.number, discrepancy.text_now, given(line.deferral), placard, reference])
    headings = ("No.", "What is inoperative", "Basis", "Placard by, on", "Reference")
    return Listing("Deferred items", headings, (0.08, 0.32, 0.25, 0.2, 0.15), rows)


def _standing_as(engine: Engine, state: str) -> list[Discrepancy]:
    return list(with_states(engine.discrepancies.all()).filter(Q(state_now=state)))


def discrepancies_sheet(user: Person, engine: Engine) -> EngineSheet:
    """Return every list of discrepancies of an engine, each as it was signed, with how its lines stand now."""
    lists = [
        _list(entry, rows)
        for entry in standing_entries(user, engine, kind=Entry.Kind.INSPECTION)
        if (rows := _lines(entry))
    ]
    none = [Listing(LISTS_TITLE, about=[NO_LIST])] if not lists else []
    return sheet_of(engine, LISTS_TITLE, [("Kept under", UNDER)], [*lists, *none], DISCREPANCIES)


def _list(entry: Entry, rows: list[list[Any]]) -> Listing:
    body = entry.body
    scheduled, release = body.get("scheduled") or {}, body.get("release") or {}
    dated = scheduled.get("list_date") or release.get("completed_on")
    number = scheduled.get("list") or entry.number
    about = [
        f"List {number}, dated {day_text(dated)}, of entry {entry.number}: {given(body.get('title'))}.",
        f"Outcome: {given(release.get('label'))}.",
        f"Signed by {signer_words(body)}.",
        f"Given to {given(release.get('given_to'))}, on {day_text((body.get('signed') or {}).get('at'))}.",
    ]
    return Listing(f"List {number} of {day_text(dated)}", LIST, LIST_SHARES, rows, about)


def _lines(entry: Entry) -> list[list[Any]]:
    """Return the lines of the list that an entry gave; none where it gave none."""
    outcome = (entry.body.get("release") or {}).get("outcome")
    if entry.body.get("scheduled"):
        return _kept_lines(entry)
    return _found_lines(entry) if outcome in REFUSALS or outcome == NOT_APPROVED else []


def _kept_lines(entry: Entry) -> list[list[Any]]:
    """Return the discrepancies that an inspection entered, each as it was stated last and with how it stands."""
    kept = with_states(Discrepancy.objects.filter(entry=first_of(entry))).order_by("number")
    return [[d.number, _item(entry), d.text_now, d.basis_now, _state_words(d)] for d in kept]


def _found_lines(entry: Entry) -> list[list[Any]]:
    """Return what was found in an inspection that a run called for, and how that inspection stands."""
    about: Mapping[str, Any] = entry.body.get("inspection") or {}
    basis = "; ".join(text for text in (about.get("reference"), about.get("source")) if text)
    stands, item = _inspection_words(entry.inspection), _item(entry)
    found = enumerate(entry.body.get("findings") or (), 1)
    return [[number, item, given(finding.get("text")), given(basis), stands] for number, finding in found]


def _item(entry: Entry) -> str:
    return f"Engine {given((entry.body.get('engine') or {}).get('serial'))}"


def _state_words(discrepancy: Discrepancy) -> str:
    lines = list(discrepancy.lines.all())
    return str(lines[-1]) if lines else given(None)


def _inspection_words(inspection: Inspection | None) -> str:
    if inspection is None:
        return given(None)
    if inspection.state == APPROVED:
        return "Closed, inspection approved"
    return f"Open: {inspection.get_state_display()}"


def _day(moment: datetime) -> str:
    return day_text(timezone.localdate(moment))
