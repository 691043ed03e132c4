"""What a sheet of work says, as the pure rules need it."""

from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal
from typing import Any, Final

from engines.calibration import Calibration, pairs_typed
from engines.times import seconds_of_hours
from engines.units import unit_known
from logbook.maintenance.rows import Work
from logbook.statements import coverage, elements
from logbook.statements.balances import ZERO, MeterChange, Opening
from logbook.statements.coverage import Hands
from logbook.statements.provisional import Provisional
from logbook.statements.required import Discrepancy, InspectionFacts, Reference, WorkFacts
from logbook.statements.words import OverhaulFacts, ZeroTime

NONE: Final = "none"
YES, NO = "yes", "no"
HOURS: Final = ("run_time_s", "time_in_service_s")
COUNTS: Final = ("starts", "cycles")


def none_or(text: str) -> str | None:
    """Return what was said, "" where it was said that there is none, None where nothing was said."""
    return "" if text.strip().lower().rstrip(".") == NONE else text.strip() or None


def yes_or_no(text: str) -> bool | None:
    """Return an answer, or None where there is none."""
    return {YES: True, NO: False}.get(text)


def reference_of(work: Work) -> Reference:
    """Return the data that work was done to."""
    return Reference(work.said("data_document"), work.said("data_revision"), work.said("data_section"))


def hands_of(work: Work) -> Hands:
    """Return who had a hand in it."""
    second = str(work.second_by) if work.second_by else ""
    return Hands(work.listed("performers"), work.listed("helpers"), second)


def overhaul_of(facts: Mapping[str, Any]) -> OverhaulFacts:
    """Return what was recorded of an overhaul."""
    return OverhaulFacts(
        steps=frozenset(facts.get("steps") or ()),
        test_reference=str(facts.get("test_reference") or ""),
        new_limits=bool(facts.get("new_limits")),
    )


def work_facts(
    work: Work, *, overdue: Iterable[str] = (), has_done_before: bool = False, is_required_item: bool = False
) -> WorkFacts:
    """Return maintenance as it is to be signed."""
    return WorkFacts(
        description=work.said("description"),
        data=reference_of(work),
        completed_on=work.day("completed_on"),
        hands=hands_of(work),
        is_major=yes_or_no(work.said("is_major")),
        form_reference=work.said("form_reference"),
        limits_changed=bool(work.facts.get("limits_changed")),
        limits_reference=work.said("limits_reference"),
        needs_flight_check=bool(work.facts.get("needs_flight_check")),
        flight_check=work.said("flight_check"),
        limitations=none_or(work.said("limitations")),
        incomplete=none_or(work.said("incomplete")),
        agreed_with=work.said("agreed_with"),
        is_required_item=is_required_item,
        has_done_before=has_done_before,
        overhaul=overhaul_of(work.facts),
        overdue=tuple(overdue),
        justification=work.said("justification"),
    )


def provisional_of(work: Work) -> Provisional | None:
    """Return who authorised a release away from base, None where it is none."""
    if outcome_of(work) != elements.PROVISIONAL:
        return None
    years = work.said("years")
    said = {name: work.said(name) for name in ("authorised_by", "qualifications", "told", "days")}
    return Provisional(years=int(years) if years.isdecimal() else None, **said)


def outcome_of(work: Work) -> str:
    """Return which statement work ends with; an inspection's is made of its kind and how it ended."""
    if work.kind == Work.Kind.WORK:
        return work.said("outcome") or elements.WORK
    is_approved = yes_or_no(work.said("is_approved"))
    kinds = {
        coverage.PROGRESSIVE_KIND: (elements.PROGRESSIVE, elements.PROGRESSIVE_REFUSED),
        coverage.PROGRAMME_KIND: (elements.PROGRAMME, elements.PROGRAMME_REFUSED),
    }
    approved, refused = kinds.get(work.said("inspection_kind"), (elements.INSPECTED, elements.REFUSED))
    return refused if is_approved is False else approved


def act_of(work: Work) -> str:
    """Return what the signer's certificate has to cover."""
    if work.kind == Work.Kind.INSPECTION:
        return work.said("inspection_kind") or coverage.SPECIAL
    if outcome_of(work) != elements.WORK:
        return outcome_of(work)
    if yes_or_no(work.said("is_major")):
        return coverage.MAJOR
    return coverage.PREVENTIVE if work.facts.get("is_preventive") else coverage.MAINTENANCE


def found_of(work: Work) -> tuple[Discrepancy, ...]:
    """Return the lines of the discrepancy list."""
    names = ("text", "basis", "deferral", "placard_by", "placard_on")
    lines = work.facts.get("found") or ()
    said: list[dict[str, Any]] = [{name: str(line.get(name) or "") for name in names} for line in lines]
    deferred = (bool(line.get("is_deferred")) for line in lines)
    return tuple(
        Discrepancy(is_deferred=is_deferred, **texts) for is_deferred, texts in zip(deferred, said, strict=True)
    )


def inspection_facts(work: Work, *, hours_s: int | None, deferred: Mapping[str, str]) -> InspectionFacts:
    """Return an inspection as it is to be signed; ``deferred`` is what is deferred on the engine, by its key."""
    again = work.facts.get("again") or {}
    wanted = {
        elements.PROGRESSIVE: ("routine", "detailed"),
        elements.PROGRESSIVE_REFUSED: ("routine", "detailed"),
        elements.PROGRAMME: ("programme", "part"),
        elements.PROGRAMME_REFUSED: ("programme", "part"),
    }
    return InspectionFacts(
        kind=work.said("inspection"),
        extent=work.said("extent"),
        completed_on=work.day("completed_on"),
        hours_s=hours_s,
        is_approved=yes_or_no(work.said("is_approved")),
        discrepancies=found_of(work),
        list_date=work.day("list_date"),
        recipient=work.said("recipient"),
        deferred={text: (again.get(key) or {}).get("answer") for key, text in deferred.items()},
        has_checklist=bool(work.facts.get("has_checklist")),
        run_after=work.said("run_after"),
        items={name: work.said(name) for name in wanted.get(outcome_of(work), ())},
    )


def hours_typed(work: Work) -> int:
    """Return the time in service that was typed over the log's. [s]"""
    return seconds_of_hours(Decimal(work.said("hours")))


def meter_of(work: Work, on: date | None) -> MeterChange:
    """Return a change of hour meter."""
    old, new = (Decimal(work.said(name)) if work.said(name) else None for name in ("old", "new"))
    return MeterChange(old, new, on, work.said("why"))


def calibration_of(work: Work, unit: str) -> Calibration:
    """Return an engine's calibration; ``unit`` is the channel's. ValueError names a line that can't be read."""
    reads = work.said("reads")
    return Calibration(
        channel=work.said("channel"),
        reads=unit_known(reads) or reads,
        unit=unit,
        pairs=pairs_typed(work.said("pairs")),
        begins_on=work.day("on"),
        source=work.said("source"),
    )


def opening_of(work: Work) -> Opening:
    """Return an opening balance."""
    used: dict[str, int | None] = {}
    for name in HOURS:
        used[name] = seconds_of_hours(Decimal(work.said(name))) if work.said(name) else None
    for name in COUNTS:
        used[name] = int(work.said(name)) if work.said(name) else None
    return Opening(
        basis=work.said("basis"),
        used=used,
        on=work.day("on"),
        basis_text=work.said("basis_text"),
        document=work.said("document"),
    )


def zero_of(work: Work) -> ZeroTime | None:
    """Return by whom zero time was granted, or None where the balance is none of zero time."""
    if work.said("basis") != ZERO:
        return None
    lists = {}
    for name in ("directives", "bulletins"):
        said = none_or(work.said(name))
        lists[name] = None if said is None else [] if not said else list(work.listed(name))
    return ZeroTime(work.said("granted_by"), work.said("granted_name"), work.said("granted_on"), **lists)
