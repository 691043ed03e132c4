"""Parts with a limit on paper: the status of those of an engine, and the history of one part, to go with it."""

from collections.abc import Mapping, Sequence
from typing import Any

from engines.models import Engine
from inspections.drawing.words import count_text
from logbook.printing.blocks import Story, grid, pairs, paragraph, titled
from logbook.printing.ending import Ending
from logbook.printing.engine_head import engine_facts, engine_running
from logbook.printing.entry import owner_words
from logbook.printing.paper import PaperName, paper_of
from logbook.printing.running import Chapter, Running, Stamp
from logbook.printing.sets import document
from logbook.printing.styles import TITLE

STATUS_TITLE = "Status of parts with a limit"
HISTORY_TITLE = "History of a part"
DERIVED = (
    "Used and left are worked out from what each part brought and from the runs of its engines while it was fitted; "
    "an overrun is negative. Whether a part may stay fitted is for a person to decide."
)
KNOWN = "Only what was recorded by the time of printing is known here."
HEADINGS = ("Limit", "Source", "Allowed", "Used", "Left", "State")
WIDTHS = (0.2, 0.22, 0.16, 0.12, 0.14, 0.16)


def parts_pdf(engine: Engine, lines: Sequence[Any], *, paper: PaperName, stamp: Stamp) -> bytes:
    """Return the status of the parts of an engine, in the order given, each limit with its source."""
    running = engine_running(engine, STATUS_TITLE, f"{len(lines)} listed", stamp)
    facts = [*engine_facts(engine), ("As of", f"{stamp.printed_at:%Y-%m-%d %H:%M %Z}")]
    story: Story = [paragraph(STATUS_TITLE, TITLE), pairs(facts)]
    for line in lines:
        where = f", {line.line.position}" if line.line and line.line.position else ""
        about = paragraph(f"{line.part.description or 'What it is: not recorded'}{where}. Used since new: {line.used}.")
        story += titled(f"{line.part.part_number}, serial {line.part.serial}", [about, _limits(line.rows)])
    if not lines:
        story.append(paragraph("No part with a limit runs with this engine, as far as is recorded."))
    story += [paragraph(DERIVED), paragraph(KNOWN), Ending("End of the status.", is_last=True)]
    return document([Chapter(running, story)], paper=paper_of(paper), title=f"{STATUS_TITLE}, serial {engine.serial}")


def _limits(rows: Sequence[Any]) -> Any:
    cells = [
        [row.what, f"{row.row.source}, revision {row.row.source_revision}", row.limit, row.used, row.left, row.state]
        for row in rows
    ]
    return grid(HEADINGS, cells, WIDTHS)


def part_pdf(followed: Mapping[str, Any], *, paper: PaperName, stamp: Stamp) -> bytes:
    """Return the history of a part: where it was fitted, its times carried forward, and how each figure adds up."""
    component = followed["part"]
    operator, name = component.operator, f"Part number {component.part_number}, serial {component.serial}"
    running = Running(
        left=(owner_words(operator.name, operator.place), name),
        right=(HISTORY_TITLE, count_text(len(followed["moves"]), "line")),
        is_demo=operator.is_demo,
        stamp=stamp,
    )
    facts = [
        ("Part number", component.part_number),
        ("Serial", component.serial),
        ("What it is", component.description),
        ("Made on", component.made_on),
        ("Used since new", followed["used"]),
        ("As of", f"{stamp.printed_at:%Y-%m-%d %H:%M %Z}"),
        ("When its record here began", followed["brought"]),
        ("Where those figures come from", component.opening_basis),
        ("Document", component.opening_document),
        ("Reconstructed", "yes" if component.opening_is_reconstructed else "no"),
    ]
    limits: Story = [_limits(followed["rows"])] if followed["rows"] else [paragraph("No limit is recorded.")]
    story: Story = [
        paragraph(HISTORY_TITLE, TITLE),
        pairs(facts),
        *titled("Limits", limits),
        *_moves(followed["moves"]),
    ]
    for sum_ in followed["sums"]:
        story += _sum(sum_)
    story += [paragraph(DERIVED), paragraph(KNOWN), Ending("End of the history.", is_last=True)]
    return document([Chapter(running, story)], paper=paper_of(paper), title=f"{HISTORY_TITLE}, {component}")


def _moves(moves: Sequence[tuple[Any, str, str]]) -> Story:
    rows = [
        [
            f"{move.at:%Y-%m-%d}\n{move.at:%H:%M}",
            _what(move),
            f"{move.engine or move.parent or move.place}{f', {move.position}' if move.position else ''}",
            used,
            control if move.kind != "fitted" else "not applicable",
            str(move.recorded_by),
        ]
        for move, used, control in moves
    ]
    headings = ("When", "What", "Where", "Used since new", "Control method", "Recorded by")
    listed = [grid(headings, rows, (0.14, 0.13, 0.17, 0.22, 0.2, 0.14))] if rows else [paragraph("Never fitted here.")]
    return titled("Fitted and removed", listed)


def _what(move: Any) -> str:
    """Return what a line says, and what became of one that counts no more."""
    what: str = move.get_kind_display()
    if not hasattr(move, "void"):
        return f"{what}, in place of a line of {move.replaces.at:%Y-%m-%d %H:%M}" if move.replaces else what
    word = "corrected" if hasattr(move, "replaced_by") else "struck"
    return f"{what} ({word}: {move.void.reason})"


def _sum(sum_: Mapping[str, Any]) -> Story:
    begins = "When its record here began" if sum_["from_new"] else "When it was last done"
    rows = [[begins, "not applicable", "not applicable", "not applicable", sum_["opening"]]]
    rows += [
        [line.where, f"{line.begin} to {line.end}", line.counters, line.amount, line.sum] for line in sum_["lines"]
    ]
    headings = ("Fitted to", "From, to", "Engine's counters at both ends", "Used", "Sum")
    return titled(f"How it adds up: {sum_['what']}", [grid(headings, rows, (0.17, 0.2, 0.33, 0.15, 0.15))])
