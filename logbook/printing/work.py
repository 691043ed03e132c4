"""What an inspection was: why it was held, its steps, what was found and what was done."""

from collections.abc import Mapping, Sequence
from typing import Any

from logbook.printing.blocks import Story, grid, pairs, paragraph, titled
from logbook.printing.wording import day_text, moment_text, yes_no

Body = Mapping[str, Any]

NOT_ANSWERED = "not answered"


def inspection_section(body: Body) -> Story:
    """Return which inspection an entry is about, and how it ended.

    Parameters
    ----------
    body : mapping
        Body of an entry.

    Returns
    -------
    list of Flowable
        Heading and table; nothing where the entry has no inspection.
    """
    inspection: Body | None = body.get("inspection")
    if not inspection:
        return []
    outcome = ("Outcome", (body.get("release") or {}).get("label"))
    return titled("The inspection", [pairs([*_rows(inspection), outcome])])


def work_section(body: Body) -> Story:
    """Return the steps of an inspection, what was found and what was done.

    Parameters
    ----------
    body : mapping
        Body of an entry.

    Returns
    -------
    list of Flowable
        Three headings with what they head; nothing where the entry has no inspection.
    """
    if not body.get("inspection"):
        return []
    return [
        *titled("Steps", _steps(body.get("steps") or [])),
        *titled("Findings", _findings(body.get("findings") or [])),
        *titled("Corrective actions", _actions(body.get("actions") or [])),
    ]


def _rows(inspection: Body) -> list[tuple[str, Any]]:
    return [
        ("Inspection number", inspection.get("number")),
        ("Type of inspection", inspection.get("summary")),
        ("Called for by", inspection.get("rule")),
        ("Data reference", inspection.get("reference")),
        ("Source of the limit", inspection.get("source")),
        ("Required inspection item", yes_no(inspection.get("required_inspection_item"))),
        ("Cause", inspection.get("cause")),
        ("What the cause was", inspection.get("cause_text")),
    ]


def _steps(steps: Sequence[Body]) -> Story:
    if not steps:
        return [paragraph("No steps are listed for this inspection.")]
    rows = [
        [k, step.get("text"), _answer(step), step.get("by"), moment_text(step.get("at"))]
        for k, step in enumerate(steps, 1)
    ]
    return [grid(("No.", "Step", "Answer", "Answered by", "At"), rows, (0.08, 0.32, 0.2, 0.18, 0.22))]


def _answer(step: Body) -> str:
    answer = step.get("answer") or NOT_ANSWERED
    return f"{answer}: {step['reason']}" if step.get("reason") else answer


def _findings(findings: Sequence[Body]) -> Story:
    if not findings:
        return [paragraph("None recorded.")]
    rows = [[k, f.get("text"), f.get("by"), moment_text(f.get("at"))] for k, f in enumerate(findings, 1)]
    return [grid(("No.", "Finding", "Recorded by", "At"), rows, (0.08, 0.46, 0.22, 0.24))]


def _actions(actions: Sequence[Body]) -> Story:
    if not actions:
        return [paragraph("None recorded.")]
    rows = [
        [k, a.get("description"), a.get("data_reference"), day_text(a.get("completed_on")), a.get("by")]
        for k, a in enumerate(actions, 1)
    ]
    headings = ("No.", "Work done", "Data reference", "Completed", "Work performed by")
    return [grid(headings, rows, (0.08, 0.34, 0.24, 0.16, 0.18))]
