"""What was found: the verdict in sentences, each chart's picture with the same facts as a table, what is not known."""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from inspections.drawing.facts import facts_in_order
from inspections.drawing.words import clock_text, count_text, figure, seconds_text
from logbook.printing.blocks import Story, bullets, grid, paragraph, part, titled, together
from logbook.printing.paper import TEXT_WIDTH
from logbook.printing.particulars import starts_part
from logbook.printing.picture import ChartPictures, PictureFlowable
from logbook.printing.styles import STRONG
from logbook.printing.wording import given, hours_given, none_or_blank, yes_no

Body = Mapping[str, Any]

ABREAST = 3  # excursions beside each other in a table of facts
COMPLETE = "No cell of the record was left out and no stretch of it went unobserved."
UNRECORDED = "Nothing was recorded by itself: what nobody wrote down is not known."
CURVE = "The same excursion as a duration curve: how long each value was passed, over the areas of the chart."
NO_PICTURE = "No picture: no recorded trace of this chart is at hand."


def verdict_section(body: Body, pictures: Mapping[str, ChartPictures]) -> Story:
    """Return what was found, under its heading.

    Parameters
    ----------
    body : mapping
        Body of an entry.
    pictures : mapping of str to ChartPictures
        Pictures by name of chart.

    Returns
    -------
    list of Flowable
        Sentences, one picture and one table of facts for each chart, and what is not known.
    """
    verdict: Body | None = body.get("verdict")
    if not verdict:
        return titled("What was found", [paragraph("No verdict belongs to this entry.")])
    sentences = body.get("sentences") or [None]
    story: Story = [paragraph(sentence, STRONG) for sentence in sentences]
    facts = _facts_by_chart(body)
    for name in _chart_names(body, pictures):
        story += _chart_part(name, facts.get(name, ()), pictures.get(name), verdict)
    return titled("What was found", [*story, *record_part(verdict, body.get("labels"))])


def _chart_names(body: Body, pictures: Mapping[str, ChartPictures]) -> list[str]:
    """Return the names of charts with anything to show, those that were passed first."""
    applied = [chart["name"] for chart in body.get("charts") or []]
    return list(dict.fromkeys([*applied, *pictures]))


def _facts_by_chart(body: Body) -> dict[str, Sequence[Body]]:
    """Return the rows of facts by chart; they stand chart by chart, one for each excursion."""
    counts = Counter(excursion["chart"] for excursion in body["verdict"].get("excursions") or [])
    rows: Sequence[Body] = body.get("facts") or []
    shared, first = {}, 0
    for chart in body.get("charts") or []:
        shared[chart["name"]] = rows[first : first + counts[chart["name"]]]
        first += counts[chart["name"]]
    return shared


def _chart_part(name: str, facts: Sequence[Body], pictures: ChartPictures | None, verdict: Body) -> Story:
    if pictures is None:
        return part(name, [paragraph(NO_PICTURE), *facts_tables(facts)])
    source = pictures.caption or count_text(verdict["samples"], "sample")
    caption = f"Drawn from {source}; every figure is of the samples, not of the drawing. A gap is never bridged."
    drawn: Story = [together([PictureFlowable(pictures.run, TEXT_WIDTH), paragraph(caption)])]
    drawn += [together([PictureFlowable(curve, TEXT_WIDTH), paragraph(CURVE)]) for curve in pictures.curves]
    return part(name, [*drawn, *facts_tables(facts)])


def facts_tables(rows: Sequence[Body]) -> Story:
    """Return every fact of some excursions, three excursions abreast.

    Parameters
    ----------
    rows : sequence of mapping
        One per excursion: heading to text, the headings the same in each.

    Returns
    -------
    list of Flowable
        As many tables as are needed.
    """
    story: Story = []
    for first in range(0, len(rows), ABREAST):
        shown = rows[first : first + ABREAST]
        heads = [f"Excursion {first + k} of {len(rows)}" for k in range(1, len(shown) + 1)]
        lines = [[heading, *(row.get(heading) for row in shown)] for heading, _ in facts_in_order(shown[0])]
        widths = (0.25, *([0.75 / len(shown)] * len(shown)))
        story.append(grid(["Fact", *heads], lines, widths))
    return story


def record_part(verdict: Body, labels: Mapping[str, str] | None = None) -> Story:
    """Return what the record holds and what it does not: usage, starts, gaps, cells left out, charts not judged.

    Parameters
    ----------
    verdict : mapping
        The verdict's document.
    labels : mapping of str to str, optional
        What channels are called, by their names; one without a label is called by its name.

    Returns
    -------
    list of Flowable
        Parts with headings; what is not known is said.
    """
    story: Story = []
    usage = verdict.get("usage")
    if usage:
        seconds = round(usage["hours"] * 3600)
        used = f"The record shows {hours_given(seconds, 2)} of run time, {count_text(usage['starts'], 'start')} "
        story += [paragraph(f"{used}and {count_text(usage['cycles'], 'cycle')}.")]
    unknown = part("What is not known", bullets(_unknown(verdict, labels or {})))
    return [*story, *starts_part(verdict), *repeats_part(verdict.get("repeats")), *unknown]


def repeats_part(repeats: Sequence[Body] | str | None) -> Story:
    """Return how often, or for how long in all, a transient had happened by then.

    Parameters
    ----------
    repeats : sequence of mapping, str or None
        The counts, or words where nothing was counted.

    Returns
    -------
    list of Flowable
        Heading and table; nothing where no rule counts.
    """
    if not repeats:
        return []
    if isinstance(repeats, str):
        return part("Counted so far", [paragraph(f"Repeats: {repeats}.")])
    rows = [[r["chart"], r["rule"], figure(r["counted"]), yes_no(r["is_reached"]), r["action"]] for r in repeats]
    headings = ("Chart", "Rule", "Counted", "Reached", "Calls for when reached")
    return part("Counted so far", [grid(headings, rows, (0.2, 0.31, 0.12, 0.12, 0.25))])


def _unobserved(gone: Body, labels: Mapping[str, str]) -> str:
    lasting = seconds_text(gone["end_s"] - gone["start_s"])
    span = f"from {clock_text(gone['start_s'], 1)} to {clock_text(gone['end_s'], 1)}"
    name = gone["channel"]
    return f"{labels.get(name) or f'Channel {name}'} was not observed for {lasting}, {span}."


def _ignored(item: Body) -> str:
    return (
        f"Column {item['column']}: {count_text(item['cells'], 'cell')} without a number, such as “{item['example']}”."
    )


def _not_judged(item: Body, labels: Mapping[str, str]) -> str:
    """Return why a chart was not judged; a channel that has no column is called by its label."""
    reason = str(item["reason"])
    name = next((name for name in labels if reason.endswith(f"column for {name}")), "")
    words = f"{reason.removesuffix(name)}{labels[name]}" if name else reason
    return f"{item['chart']} was not judged: {words}."


def _note(note: str) -> str:
    return f"{note[:1].upper()}{note[1:].rstrip('.')}."


def _unknown(verdict: Body, labels: Mapping[str, str]) -> list[str]:
    """Return what the verdict could not know, in sentences; where it knows all, it says so."""
    words: dict[str, Callable[[Any], str]] = {
        "unobserved": lambda gone: _unobserved(gone, labels),
        "not_judged": lambda item: _not_judged(item, labels),
        "notes": _note,
        "ignored": _ignored,
    }
    found = [word(item) for key, word in words.items() for item in verdict.get(key, ())]
    return found or [COMPLETE if verdict.get("samples") else UNRECORDED]


def opened_section(body: Body) -> Story:
    """Return the inspections that a run called for.

    Parameters
    ----------
    body : mapping
        Body of an entry.

    Returns
    -------
    list of Flowable
        Heading and table; nothing for an entry that is not of a run.
    """
    if body.get("kind") not in ("run", "exceedance"):
        return []
    opened: Sequence[Body] | None = body.get("opened")
    if not opened:
        return titled("Inspections called for", [paragraph(f"Inspections: {none_or_blank(opened)}.")])
    rows = [[i.get("number"), i.get("summary"), i.get("rule"), yes_no(i.get("before_next_flight"))] for i in opened]
    headings = ("Inspection", "What", "Called for by", "Before next flight")
    return titled("Inspections called for", [grid(headings, rows, (0.16, 0.42, 0.22, 0.2))])


def inspection_words(body: Body) -> str:
    """Return the inspection of an entry in one line.

    Parameters
    ----------
    body : mapping
        Body of an entry.

    Returns
    -------
    str
        For example ``"inspection 3, Hot section inspection"``.
    """
    inspection: Body = body.get("inspection") or {}
    return f"inspection {given(inspection.get('number'))}, {given(inspection.get('summary'))}"
