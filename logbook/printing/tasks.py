"""How the tasks of an engine stand as a PDF: each directive, bulletin and inspection, last done and next due."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

from engines.counters import STANDARD, counter_of
from engines.due import REACHED
from engines.due_words import amount_words, due_at_words, interval_words, left_words
from engines.models import Engine, TaskRecord
from engines.standing import Standing
from engines.tasks import DIRECTIVE
from engines.times import Times
from logbook.printing.blocks import Story, grid, pairs, paragraph, titled
from logbook.printing.ending import Ending
from logbook.printing.engine_head import engine_facts, engine_running
from logbook.printing.paper import PaperName, paper_of
from logbook.printing.particulars import times_table
from logbook.printing.running import Chapter, Stamp
from logbook.printing.sets import document
from logbook.printing.styles import TITLE
from logbook.printing.wording import day_text

TITLE_TEXT: Final = "Status of tasks"
KEPT_UNDER: Final = (
    "14 CFR 91.417(a)(2)(iv) and (v): inspections, and directives with method of compliance and next due"
)
DERIVED: Final = (
    "Worked out from what was recorded by the time of printing; what was not recorded is not known here. It says what "
    "stands in the record and approves nothing for return to service."
)
WIDTHS: Final = (0.3, 0.28, 0.17, 0.25)
HEADINGS: Final = ("Task", "Last done, method of compliance", "Comes round", "Next due, left")
PARTS: Final = (
    ("Airworthiness directives", lambda kind: kind == DIRECTIVE),
    ("Service bulletins", lambda kind: kind == "bulletin"),
    ("Inspections and other tasks", lambda kind: kind not in (DIRECTIVE, "bulletin")),
)


def tasks_pdf(engine: Engine, standings: Sequence[Standing], *, times: Times, paper: PaperName, stamp: Stamp) -> bytes:
    """Return how the tasks of an engine stand as a PDF."""
    running = engine_running(engine, TITLE_TEXT, f"as of {day_text(stamp.printed_at.date())}", stamp)
    about = [*engine_facts(engine), ("Last overhaul", day_text(engine.overhauled_on)), ("Kept under", KEPT_UNDER)]
    story: Story = [
        paragraph(TITLE_TEXT, TITLE),
        pairs(about),
        *titled("Engine times since new", times_table(vars(times))),
    ]
    for title, belongs in PARTS:
        rows = [task_row(standing) for standing in standings if belongs(standing.task.kind)]
        story += titled(title, [grid(HEADINGS, rows, WIDTHS)] if rows else [paragraph("None kept.")])
    story += [paragraph(DERIVED), Ending("End of the tasks.", is_last=True)]
    return document([Chapter(running, story)], paper=paper_of(paper), title=f"{TITLE_TEXT}, serial {engine.serial}")


def task_row(standing: Standing) -> list[str]:
    """Return one row of the table."""
    return [about_words(standing), last_words(standing.last), comes_round(standing), next_words(standing)]


def about_words(standing: Standing) -> str:
    """Return what a task is, by which document."""
    task = standing.task
    lines = [
        standing.title,
        f"{task.kind_words}, {'mandatory' if task.mandatory else 'not mandatory'}",
        f"Revision of {task.revision_date}" if task.revision_date else "",
        f"Done to: {task.reference}" if task.reference else "",
        f"Source: {task.source or 'not recorded'}",
    ]
    return "\n".join(line for line in lines if line)


def last_words(line: TaskRecord | None) -> str:
    """Return what was recorded last of a task."""
    if line is None or line.outcome == TaskRecord.Outcome.BEGUN:
        return "Never recorded as done" if line is None else f"Never recorded as done\nApplies since {line.on}"
    said = [f"{line.said}, {line.on}", used_words(line.stood), line.method, line.reference]
    return "\n".join([*(part for part in said if part), f"Recorded by {line.by}"])


def used_words(used: Mapping[str, Any]) -> str:
    """Return what the counters stood at, those that had counted anything."""
    known = [counter.name for counter in STANDARD if used.get(counter.name)]
    return ", ".join(amount_words(counter_of(name), used[name]) for name in known)


def comes_round(standing: Standing) -> str:
    """Return how often a task comes round."""
    task = standing.task
    if task.repeat is None:
        return f"Once: {interval_words(task.initial)}"
    first = f"First: {interval_words(task.initial)}\n" if task.initial else ""
    return f"{first}Recurring: {interval_words(task.repeat)}"


def next_words(standing: Standing) -> str:
    """Return when a task is due next, and what is left."""
    if standing.point is None:
        return "Closed"
    lines = [f"{due_at_words(part)} ({left_words(part)})" for part in standing.left]
    if not standing.point.is_day_known:
        lines.append("Day not known: it is not recorded when it was last done")
    return "\n".join([*(["Overdue"] if standing.state == REACHED else []), *lines, standing.point.basis])
