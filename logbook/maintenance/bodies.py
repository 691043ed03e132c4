"""What entries of maintenance, inspections, hour meters and opening balances hold, as plain facts."""

from collections.abc import Sequence
from dataclasses import asdict
from datetime import date, datetime, time
from textwrap import shorten
from typing import Any

from django.utils import timezone

from engines.calibration import Calibration
from engines.models import Engine
from engines.queries import engine_times
from engines.times import Times, hours_text
from logbook.maintenance.copies import copy_part
from logbook.maintenance.look_rows import LookLine
from logbook.maintenance.looks import is_required, looks_of
from logbook.maintenance.publications import on_file_of, revision_warning
from logbook.maintenance.reading import hands_of, none_or, outcome_of, provisional_of, reference_of
from logbook.maintenance.rows import Discrepancy, Rules, Work
from logbook.maintenance.rules import named_in, template_of
from logbook.models import Certificate, Person
from logbook.photos.facts import photos_part
from logbook.photos.queries import photos_of
from logbook.statements.balances import BASES, MeterChange, Opening
from logbook.statements.elements import OUTCOMES, RULESETS
from logbook.statements.provisional import provisional_ends, provisional_faults
from logbook.statements.required import ANSWERS
from logbook.statements.required import Discrepancy as Found
from logbook.statements.templates import statement_render

NO_DATA = "no data beside this description"
HEADING = 80  # characters of what was done that stand in the heading


def times_on(engine: Engine, day: date) -> Times:
    """Return what an engine had used at the end of a day; no run lies after today."""
    if day >= timezone.localdate():
        return engine_times(engine)
    return engine_times(engine, timezone.make_aware(datetime.combine(day, time.max)))


def heading_of(work: Work) -> str:
    """Return the heading of maintenance: what was done, shortened at a word."""
    said = work.said("description") or reference_of(work).words
    return f"Maintenance: {shorten(said, HEADING, placeholder=' …')}"


def common(work: Work, completed_on: date) -> dict[str, Any]:
    """Return what every such entry holds."""
    engine = work.engine
    return {
        "title": work.get_kind_display(),
        **engine.operator.named,
        "engine": engine.named,
        "times": vars(times_on(engine, completed_on)),
        "completed_on": completed_on.isoformat(),
        "recorded": {
            "by": str(work.changed_by),
            "at": timezone.localtime(work.changed_at).isoformat(timespec="seconds"),
        },
        "draft": work.number,
    } | photos_part(photos_of("work", work))


def statement_of(work: Work, rules: Rules, by: Person, certificate: Certificate, hours_s: int) -> str:
    """Return the statement that work ends with; ValueError where a value of the template is missing."""
    on = work.day("completed_on")
    times = times_on(work.engine, on) if on else engine_times(work.engine)
    template = template_of(rules, outcome_of(work))
    texts = ("extent", "programme", "part", "routine", "detailed", "recipient", "pending", "list_date", "inspection")
    values = {name: work.said(name) for name in texts} | {
        "signer": str(by),
        "certificate_kind": certificate.kind,
        "certificate_number": certificate.number,
        "item": f"engine {work.engine.serial}, type {work.engine.engine_type.name}",
        "hours": f"{hours_text(hours_s)} h",
        "cycles": str(times.cycles),
        "work": _work_words(work),
        "data": reference_of(work).words or NO_DATA,
        "date": work.said("completed_on"),
        "list": str(work.number),
        "limitations": _none_words(work, "limitations"),
        "incomplete": _none_words(work, "incomplete"),
        **named_in(template, rules, work.engine, certificate),
    }
    return statement_render(template, values)


def _work_words(work: Work) -> str:
    """Return the work pack and what was done, or the data that describe it."""
    data = reference_of(work).words
    pack = f"work pack {work.said('work_pack')}" if work.said("work_pack") else ""
    what = work.said("description") or work.said("extent") or (f"as described in {data}" if data else "")
    return ": ".join(part for part in (pack, what.rstrip(".")) if part)


def _none_words(work: Work, name: str) -> str:
    """Return what was said, "none" where it was said that there is none, "" where nothing was said."""
    said = none_or(work.said(name))
    return "" if said is None else said or "none"


def release_of(work: Work, rules: Rules, by: Person, certificate: Certificate, statement: str) -> dict[str, Any]:
    """Return how work ended, by whom, under which rules and which certificate."""
    outcome = outcome_of(work)
    return {
        "outcome": outcome,
        "label": OUTCOMES[outcome],
        "ruleset": rules.ruleset,
        "rules": RULESETS[rules.ruleset],
        "completed_on": work.said("completed_on"),
        "extent": work.said("extent") or work.said("description"),
        "statement": statement,
        "signed_name": str(by),
        "second_name": str(work.second_by) if work.second_by else "",
        "required_inspection_item": is_required(work),
        "certificate_kind": certificate.kind,
        "certificate_number": certificate.number,
        "certificate_covers": certificate.covered,
        "given_to": work.said("recipient"),
    }


def work_part(work: Work, by: Person, *, has_done_before: bool, closes: Sequence[Discrepancy]) -> dict[str, Any]:
    """Return maintenance as it was recorded."""
    texts = (
        "description",
        "work_pack",
        "is_major",
        "form_reference",
        "limits_reference",
        "flight_check",
        "limitations",
        "incomplete",
        "agreed_with",
        "justification",
        "pending",
        "test_reference",
    )
    hands = hands_of(work)
    return {
        **{name: work.said(name) for name in texts},
        "data": data_part(work),
        "performed_by": list(hands.performers) or [str(by)],
        "helpers": list(hands.helpers),
        "limits_changed": bool(work.facts.get("limits_changed")),
        "needs_flight_check": bool(work.facts.get("needs_flight_check")),
        "is_preventive": bool(work.facts.get("is_preventive")),
        "steps": sorted(work.facts.get("steps") or ()),
        "new_limits": bool(work.facts.get("new_limits")),
        "measurements": list(work.listed("measurements")),
        "signer_has_done_before": has_done_before,
        "closes": [{"number": d.number, "text": d.text_now} for d in closes],
        **_provisional(work),
        **looks_part(work),
    }


def looks_part(work: Work) -> dict[str, Any]:
    """Return what became of the second look, where there is more to tell than that it was accepted."""
    lines = looks_of(work)
    if all(line.outcome == LookLine.Outcome.ACCEPTED for line in lines):
        return {}
    told = [
        {
            "outcome": line.get_outcome_display(),
            "by": str(line.by),
            "at": timezone.localtime(line.at).isoformat(timespec="seconds"),
            "words": line.words,
        }
        for line in lines
    ]
    return {"looks": told}


def data_part(work: Work) -> dict[str, Any]:
    """Return the data worked to, with the copy of it that is kept, or what is to be said of another revision."""
    reference = reference_of(work)
    row = on_file_of(work.operator_id, reference.document)
    warning = revision_warning(work, row)
    told = asdict(reference) | {"words": reference.words} | copy_part(row, work.said("data_revision"))
    return told | ({"on_file": warning} if warning else {})


def _provisional(work: Work) -> dict[str, Any]:
    """Return who authorised a release away from base, and its two days; nothing where it is none."""
    said, on = provisional_of(work), work.day("completed_on")
    if said is None or on is None or provisional_faults(said):
        return {}
    check_by, tell_by = provisional_ends(on, said.days)
    return {"provisional": asdict(said) | {"check_by": check_by.isoformat(), "tell_by": tell_by.isoformat()}}


def inspection_part(
    work: Work, by: Person, *, hours_s: int, found: Sequence[Found], again: Sequence[tuple[Discrepancy, str, str]]
) -> dict[str, Any]:
    """Return an inspection as it was recorded; ``again`` is what was deferred before, with answer and words."""
    texts = (
        "inspection_kind",
        "inspection",
        "extent",
        "programme",
        "part",
        "routine",
        "detailed",
        "run_after",
        "is_approved",
    )
    hands = hands_of(work)
    return {
        **{name: work.said(name) for name in (*texts, "list_date", "recipient", "hours_why", "justification")},
        "hours_s": hours_s,
        "data": data_part(work),
        "performed_by": list(hands.performers) or [str(by)],
        "helpers": list(hands.helpers),
        "has_checklist": bool(work.facts.get("has_checklist")),
        "list": work.number,
        "found": [asdict(line) for line in found],
        "again": [
            {"number": d.number, "text": d.text_now, "answer": ANSWERS[answer], "words": words}
            for d, answer, words in again
        ],
        **looks_part(work),
    }


def meter_part(work: Work, change: MeterChange) -> dict[str, Any]:
    """Return a change of hour meter as it was recorded. [h]"""
    figures = {"old_h": change.old, "new_h": change.new, "offset_h": change.offset}
    texts = {name: None if amount is None else str(amount) for name, amount in figures.items()}
    return {**texts, "at": work.said("at"), "why": change.why}


def calibration_part(calibration: Calibration, label: str) -> dict[str, Any]:
    """Return a calibration as it was recorded, under the channel's label."""
    on = calibration.begins_on
    return {
        "channel": label,
        "reads": calibration.reads,
        "unit": calibration.unit,
        "pairs": [list(pair) for pair in calibration.pairs],
        "begins_on": None if on is None else on.isoformat(),
        "source": calibration.source,
    }


def opening_part(work: Work, opening: Opening) -> dict[str, Any]:
    """Return an opening balance as it was recorded; lists are of what a zero-time engine embodies."""
    texts = ("basis", "basis_text", "document", "granted_by", "granted_name", "granted_on")
    lists = {name: list(work.listed(name)) if none_or(work.said(name)) else [] for name in ("directives", "bulletins")}
    said = {name: work.said(name) for name in texts}
    return {**said, **lists, "used": dict(opening.used), "basis_words": BASES.get(opening.basis, "")}
