"""What an entry holds: everything that prints, as it stood when the entry was made."""

from datetime import datetime
from typing import Any

from django.utils import timezone

from engines.models import Reading, Run, TypeRevision
from engines.queries import engine_times
from engines.timing import timed_words
from inspections.drawing.facts import facts_of, sentence_of
from inspections.models import Inspection, Judgement, Release
from inspections.states import LABELS
from inspections.verdict import excursion_read
from logbook.changes import changes_of
from logbook.models import Entry
from logbook.photos.facts import photos_part
from logbook.photos.queries import photos_of
from logbook.sources import worked_of

CONVERTED = ("converted", "converted_unit", "converted_by")
READING = ("chart", "unit", "peak", "seconds", "timed_seconds", "remarks")
NO_READING = "Nothing was recorded beyond a limit, and no trace was given."
WITHIN = "No reading was beyond a limit in what was recorded."


def _moment(value: datetime | None) -> str | None:
    return None if value is None else value.isoformat(timespec="seconds")


def _revision(revision: TypeRevision) -> dict[str, Any]:
    return {
        "number": revision.number,
        "source": revision.source,
        "in_force_from": revision.in_force_from.isoformat() if revision.in_force_from else None,
        "entered_by": str(revision.entered_by),
        "checked_by": str(revision.checked_by) if revision.checked_by else None,
    }


def run_facts(run: Run) -> dict[str, Any]:
    """Return what is stated of a run and what it counts for."""
    names = ("run_time_s", "time_in_service_s", "starts", "cycles", "partial_cycles")
    besides = besides_of(run)
    return {
        "id": str(run.pk),
        "kind": run.get_kind_display(),
        "started_at": _moment(run.started_at),
        "remarks": run.remarks,
        "typed": {name: getattr(run, f"typed_{name}") for name in (*names, "meter_h")},
        "counted": {name: getattr(run, name) for name in names},
        "timed": timed_words(run.timed),
        **({"besides": [list(row) for row in besides]} if besides else {}),
    }


def besides_of(run: Run) -> list[tuple[str, str]]:
    """Return what is stated of a run besides kind, times and counts: how long the starter was engaged, two people."""
    starter = [("Starter engaged", f"{run.typed_starter_s:g} s")] if run.typed_starter_s is not None else []
    people = [("Started by", f"{run.trainee}, trainee"), ("Supervised by", str(run.supervisor))] if run.trainee else []
    return [*starter, *people]


def evidence_facts(run: Run) -> list[dict[str, Any]]:
    """Return what a run is judged by: recorded files and readings."""
    traces = [
        {
            "kind": "trace",
            "name": trace.original_name,
            "samples": trace.samples,
            "sha256": trace.original_sha256,
            "unused": trace.unused,
        }
        for trace in run.traces.all()
    ]
    return traces + [_reading(reading) for reading in run.standing_readings]


def _reading(reading: Reading) -> dict[str, Any]:
    names = READING if reading.converted is None else (*READING, *CONVERTED)
    return {"kind": "reading"} | {name: getattr(reading, name) for name in names}


def _charts_passed(judgement: Judgement, passed: set[str]) -> list[dict[str, Any]]:
    data = judgement.revision.data
    charts = {chart.name: chart for chart in data.charts}
    return [
        chart | {"unit": charts[chart["name"]].unit, "label": data.channel(chart["channel"]).label}
        for chart in judgement.revision.document["charts"]
        if chart["name"] in passed
    ]


def _judged(judgement: Judgement) -> dict[str, Any]:
    """Return the verdict with the charts that it is about, in words and as data."""
    data = judgement.revision.data
    found = [excursion_read(document) for document in judgement.verdict["excursions"]]
    charts = {chart.name: chart for chart in data.charts}
    sentences = [sentence_of(e, charts[e.chart], data.channel(e.channel)) for e in found]
    return {
        "revision": _revision(judgement.revision),
        "verdict": judgement.verdict,
        "charts": _charts_passed(judgement, {excursion.chart for excursion in found}),
        "sentences": sentences or [WITHIN if judgement.verdict["samples"] else NO_READING],
        "facts": [row for chart in data.charts for row in facts_of(chart, found, data.channel(chart.channel))],
        "labels": {channel.name: channel.label for channel in data.channels if channel.label},
        **worked_of(judgement),
    }


def _common(kind: str, title: str, run: Run) -> dict[str, Any]:
    engine = run.engine
    return {
        "kind": kind,
        "title": title,
        **engine.operator.named,
        "engine": engine.named,
        "run": run_facts(run),
        "evidence": evidence_facts(run),
    }


def run_kind(verdict: dict[str, Any]) -> str:
    """Return the kind of a run's entry: an exceedance where an area was entered, or may have been."""
    entered = any(e["area"] or e["area_possible"] for e in verdict["excursions"])
    return (Entry.Kind.EXCEEDANCE if entered else Entry.Kind.RUN).value


def run_body(run: Run, judgement: Judgement) -> dict[str, Any]:
    """Return the body of the entry about a run as it is judged now, without its signature."""
    opened, reasons = run.inspections.order_by("number"), run.reasons.filter(correction=run.correction)
    return (
        _common(run_kind(judgement.verdict), f"{run.get_kind_display()} recorded", run)
        | _judged(judgement)
        | {
            "times": vars(engine_times(run.engine, run.started_at)),
            "recorded": {"by": str(run.recorded_by), "at": _moment(timezone.localtime(run.recorded_at))},
            "reasons": list(reasons.values("field", "value", "question", "reason")),
            "opened": [
                {"number": i.number, "summary": i.summary, "rule": i.rule, "before_next_flight": i.before_next_flight}
                for i in opened
            ],
        }
        | photos_part(photos_of("run", run, judgement))
    )


def inspection_body(inspection: Inspection, release: Release) -> dict[str, Any]:
    """Return the body of the entry by which an inspection ended, without its signature."""
    judgement = inspection.run.judgements.get(is_current=True)
    names = ("number", "summary", "rule", "reference", "source", "cause_text", "required_inspection_item", "chart")
    about = {name: getattr(inspection, name) for name in names}
    return (
        _common("inspection", inspection.summary, inspection.run)
        | _judged(judgement)
        | {
            "times": vars(engine_times(inspection.engine)),
            "inspection": about | {"cause": inspection.get_cause_display()},
            "steps": [
                {
                    "text": step.text,
                    "answer": step.get_answer_display(),
                    "reason": step.reason,
                    "by": str(step.answered_by) if step.answered_by else None,
                    "at": _moment(step.answered_at),
                }
                for step in inspection.steps.select_related("answered_by")
            ],
            "findings": [
                {"text": f.text, "by": str(f.recorded_by), "at": _moment(f.recorded_at)}
                for f in inspection.findings.select_related("recorded_by")
            ],
            "actions": [
                {
                    "description": action.description,
                    "data_reference": action.data_reference,
                    "completed_on": action.completed_on.isoformat(),
                    "by": str(action.performed_by),
                }
                for action in inspection.actions.select_related("performed_by")
            ],
            "release": release_facts(release),
        }
        | photos_part(photos_of("inspection", inspection))
    )


def release_facts(release: Release) -> dict[str, Any]:
    """Return how an inspection ended."""
    names = ("outcome", "extent", "statement", "signed_name", "second_name", "given_to")
    own = {name: getattr(release, name) for name in (*names, "certificate_kind", "certificate_number")}
    return own | {"label": LABELS[release.outcome], "completed_on": release.completed_on.isoformat()}


def corrected_body(earlier: Entry | None, body: dict[str, Any], *, how: str, why: str) -> dict[str, Any]:
    """Return a body with what it corrects, how and why, and what is otherwise than there.

    A run that was put right before anybody signed it corrects no entry.
    """
    return body | {
        "correction": {
            "of": earlier.number if earlier else None,
            "of_hash": earlier.leaf_hash if earlier else None,
            "how": how,
            "why": why.strip(),
            "changes": changes_of(earlier.body, body) if earlier else [],
        }
    }
