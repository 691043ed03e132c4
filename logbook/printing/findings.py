"""What was found: the verdict in sentences, each chart's picture with the same facts as a table, what is not known."""

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

from inspections.drawing.shapes import Picture
from inspections.drawing.words import clock_text, count_text, seconds_text
from logbook.printing.blocks import Story, bullets, gap, grid, paragraph, part, titled
from logbook.printing.paper import TEXT_WIDTH
from logbook.printing.particulars import starts_part
from logbook.printing.picture import PictureFlowable
from logbook.printing.styles import STRONG
from logbook.printing.wording import given, hours_given, yes_no

Body = Mapping[str, Any]

ABREAST = 3  # excursions beside each other in a table of facts
WITHIN = "No reading was beyond a limit."
NO_PICTURE = "No picture: no recorded trace of this chart is at hand."


def verdict_section(body: Body, pictures: Mapping[str, Picture]) -> Story:
    """Return what was found, under its heading.

    Parameters
    ----------
    body : mapping
        Body of an entry.
    pictures : mapping of str to Picture
        Pictures by name of chart.

    Returns
    -------
    list of Flowable
        Sentences, one picture and one table of facts for each chart, and what is not known.
    """
    verdict: Body | None = body.get("verdict")
    if not verdict:
        return titled("What was found", [paragraph("No verdict belongs to this entry.")])
    sentences = body.get("sentences") or [WITHIN]
    story: Story = [paragraph(sentence, STRONG) for sentence in sentences]
    facts = _facts_by_chart(body)
    for name in _chart_names(body, pictures):
        story += _chart_part(name, facts.get(name, ()), pictures.get(name))
    return titled("What was found", [*story, *record_part(verdict)])


def _chart_names(body: Body, pictures: Mapping[str, Picture]) -> list[str]:
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


def _chart_part(name: str, facts: Sequence[Body], picture: Picture | None) -> Story:
    first: Story = [paragraph(NO_PICTURE)] if picture is None else [PictureFlowable(picture, TEXT_WIDTH)]
    return part(name, [*first, gap(4), *facts_tables(facts)])


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
        lines = [[heading, *(row.get(heading) for row in shown)] for heading in shown[0]]
        widths = (0.25, *([0.75 / len(shown)] * len(shown)))
        story.append(grid(["Fact", *heads], lines, widths))
    return story


def record_part(verdict: Body) -> Story:
    """Return what the record holds and what it does not: usage, starts, gaps, cells left out, charts not judged.

    Parameters
    ----------
    verdict : mapping
        The verdict's document.

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
    return [*story, *starts_part(verdict), *part("What is not known", bullets(_unknown(verdict)))]


def _unknown(verdict: Body) -> list[str]:
    gaps = [
        f"{gone['channel']} was not observed for {seconds_text(gone['end_s'] - gone['start_s'])}, "
        f"from {clock_text(gone['start_s'], 1)} to {clock_text(gone['end_s'], 1)}."
        for gone in verdict.get("unobserved") or []
    ]
    cells = [
        f"{item['column']}: {count_text(item['cells'], 'cell')} without a number, for example “{item['example']}”."
        for item in verdict.get("ignored") or []
    ]
    charts = [f"{item['chart']} was not judged: {item['reason']}." for item in verdict.get("not_judged") or []]
    notes = [f"{note[:1].upper()}{note[1:].rstrip('.')}." for note in verdict.get("notes") or []]
    return [*gaps, *charts, *notes, *cells] or ["Nothing was left out and nothing went unobserved."]


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
    if body.get("kind") != "run":
        return []
    opened: Sequence[Body] = body.get("opened") or []
    if not opened:
        return titled("Inspections called for", [paragraph("None.")])
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
