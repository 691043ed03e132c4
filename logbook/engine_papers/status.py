"""The status records of an engine on one dated document: 14 CFR 91.417(a)(2), items (i) to (vi)."""

from collections.abc import Mapping
from datetime import datetime, time
from typing import Any, Final

from django.utils import timezone

from engines.counters import used_of
from engines.models import Engine, PartLimit, TaskRecord
from engines.part_queries import PartStatus, components_on, statuses_of
from engines.queries import engine_times
from engines.standing import Standing, standings_of
from engines.tasks import DIRECTIVE
from engines.times import Times
from inspections.queries import inspection_open_list
from logbook.engine_papers.sheets import sheet_of, standing_entries, times_cells
from logbook.models import Entry, Person
from logbook.part_words import LimitRow, limit_rows
from logbook.printing.engine_sheet import EngineSheet, Listing
from logbook.printing.retention import STATUS
from logbook.printing.tasks import HEADINGS, WIDTHS, task_row, used_words
from logbook.printing.wording import day_text, given
from logbook.programmes import gate_of, programme_rows
from logbook.queries import entry_list

TITLE: Final = "Status report"
UNDER: Final = "14 CFR 91.417(a)(2), items (i) to (vi)"
TIMES: Final = ("Of", "Time in service", "Run time", "Starts", "Cycles")
TIMES_SHARES: Final = (0.32, 0.2, 0.18, 0.15, 0.15)
LIMITS: Final = ("Part", "Limit", "Source", "Used", "Left", "State")
LIMITS_SHARES: Final = (0.2, 0.2, 0.2, 0.12, 0.14, 0.14)
DUE_BULLETIN: Final = "bulletin"


def status_sheet(user: Person, engine: Engine) -> EngineSheet:
    """Return the status report of an engine as it stands now."""
    standings = standings_of([engine])[engine.pk]
    statuses = list(statuses_of(list(components_on(engine)), timezone.localdate()).values())
    listings = [
        _times(user, engine),
        _limits("(ii) Life-limited parts", statuses, PartLimit.Kind.LIFE),
        _overhaul(engine, statuses),
        _programme(engine, statuses),
        *_inspections(user, engine, standings),
        _tasks("(v) Airworthiness directives and safety directives", standings, (DIRECTIVE,)),
        _alterations(user, engine),
    ]
    return sheet_of(engine, TITLE, [("Kept under", UNDER)], listings, STATUS)


def _times(user: Person, engine: Engine) -> Listing:
    row = ["Engine, since new", *times_cells(engine_times(engine))]
    return Listing("(i) Total time in service", TIMES, TIMES_SHARES, [row], about=_basis(user, engine))


def _basis(user: Person, engine: Engine) -> list[str]:
    """Return where the opening times come from, and when times were corrected last."""
    said = []
    opening = entry_list(user).filter(engine=engine, kind=Entry.Kind.OPENING, corrected_by__isnull=True).last()
    if opening is not None:
        owner = (opening.body.get("received") or {}).get("owner")
        basis = f"as handed over by {owner}" if owner else (opening.body.get("opening") or {}).get("basis_words")
        said.append(f"When the record here began: {given(basis)} (entry {opening.number}).")
    corrections = entry_list(user).filter(engine=engine, corrects__isnull=False).exclude(kind=Entry.Kind.HANDOVER)
    newest = corrections.select_related("corrects").last()
    if newest is not None and newest.corrects is not None:
        on = day_text(timezone.localdate(newest.signed_at))
        said.append(f"Corrected last on {on} by entry {newest.number}, in place of entry {newest.corrects.number}.")
    return said


def _limits(title: str, statuses: list[PartStatus], kind: str, rows: tuple[list[Any], ...] = ()) -> Listing:
    found = [_limit(status, row) for status in statuses for row in limit_rows(status) if row.row.kind == kind]
    return Listing(title, LIMITS, LIMITS_SHARES, [*rows, *found])


def _limit(status: PartStatus, row: LimitRow) -> list[Any]:
    part = status.component
    name = "\n".join(text for text in (part.part_number, f"serial {part.serial}", part.description) if text)
    source = f"{given(row.row.source)}, revision {given(row.row.source_revision)}"
    return [name, f"{row.what}: {row.limit}", source, row.used, row.left, row.state]


def _overhaul(engine: Engine, statuses: list[PartStatus]) -> Listing:
    since = _since_overhaul(engine)
    used = given(None) if since is None else "{} in service\n{} run".format(*times_cells(since)[:2])
    last = f"last overhaul {day_text(engine.overhauled_on)}"
    row = [f"Engine {engine.serial}", last, "this record", used, "not applicable: due under (iv)", "not applicable"]
    return _limits("(iii) Time since last overhaul", statuses, PartLimit.Kind.OVERHAUL, rows=(row,))


def _since_overhaul(engine: Engine) -> Times | None:
    """Return what an engine used since the end of the day of its last overhaul; None where none is recorded."""
    if engine.overhauled_on is None:
        return None
    end = timezone.make_aware(datetime.combine(engine.overhauled_on, time.max))
    return engine_times(engine) - engine_times(engine, end)


def _programme(engine: Engine, statuses: list[PartStatus]) -> Listing:
    gate = gate_of(engine, statuses)
    chosen = gate.selection
    selected = [("Programme", "none selected")]
    if chosen is not None:
        selected = [*programme_rows(chosen), ("Signed by", f"entry {chosen.signed.entry.number}")]
    rows = [*selected, ("Life-limited parts", gate.parts_words)]
    return Listing("(iv) Inspection programme of the aircraft", ("Of", "As it stands"), (0.3, 0.7), rows)


def _inspections(user: Person, engine: Engine, standings: list[Standing]) -> list[Listing]:
    kinds = tuple({standing.task.kind for standing in standings} - {DIRECTIVE, DUE_BULLETIN})
    title = "(iv) Inspection status: last done, time since, next due"
    rows = [
        [inspection.number, inspection.summary, day_text(timezone.localdate(inspection.opened_at)), inspection.rule]
        for inspection in inspection_open_list(user).filter(engine=engine)
    ]
    headings = ("No.", "Inspection", "Opened", "Called for by")
    called = Listing("(iv) Inspections called for by runs, not approved yet", headings, (0.1, 0.45, 0.17, 0.28), rows)
    return [_tasks(title, standings, kinds), called]


def _tasks(title: str, standings: list[Standing], kinds: tuple[str, ...]) -> Listing:
    found = [standing for standing in standings if standing.task.kind in kinds]
    used = used_of(engine_times(found[0].engine)) if found and found[0].engine else {}
    return Listing(title, HEADINGS, WIDTHS, [_task(standing, used) for standing in found])


def _task(standing: Standing, used: Mapping[str, int]) -> list[str]:
    """Return how a task stands, with what was used since it was done last."""
    task, last, *rest = task_row(standing)
    if standing.last is not None and standing.last.outcome != TaskRecord.Outcome.BEGUN:
        then = standing.last.stood
        since = {name: amount - then.get(name, 0) for name, amount in used.items() if amount > then.get(name, 0)}
        last += f"\nSince then: {used_words(since) or 'nothing used'}"
    return [task, last, *rest]


def _alterations(user: Person, engine: Engine) -> Listing:
    rows = []
    for entry in standing_entries(user, engine, kind=Entry.Kind.WORK):
        work = entry.body.get("work") or {}
        if work.get("is_major") == "yes":
            rows.append(
                [entry.number, day_text(entry.completed_on), work.get("description"), work.get("form_reference")]
            )
    headings = ("Entry", "Completed", "What was done", "Form")
    return Listing("(vi) Forms for major repairs and alterations", headings, (0.1, 0.16, 0.46, 0.28), rows)
