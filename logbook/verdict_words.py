"""The verdict on a run as screens say it: a word, sentences, and what belongs beside them."""

from dataclasses import dataclass
from typing import Any

from engines.charts import Area, LimitChart
from inspections.drawing.facts import area_of, beyond_word, facts_of, limit_text, sentence_of
from inspections.drawing.words import clock_text, count_text
from inspections.models import Judgement
from inspections.verdict import Excursion, Unobserved
from logbook.pictures import JudgedRun

NOT_JUDGED = "Not judged yet"
CALLED_FOR = "Inspection called for"
NEAR_MISS = "Beyond a limit, no area entered"
WITHIN = "Within limits"
WITHIN_SEEN = "Within limits in what was recorded"
NOTHING_READ = "Nothing was read"


@dataclass(frozen=True)
class Said:
    """One excursion in sentences: what it was, when what it calls for is due, and by which source."""

    sentence: str
    due: str
    source: str
    is_due_first: bool


@dataclass(frozen=True)
class LimitLine:
    """How one limit that was in force stands after the run."""

    chart: str
    limit: str
    word: str


def verdict_word(judgement: Judgement | None, readings: int = 0) -> str:
    """Return the verdict on a run in a few words, the most severe that applies."""
    if judgement is None:
        return NOT_JUDGED
    document = judgement.verdict
    if any(excursion["area_possible"] for excursion in document["excursions"]):
        return CALLED_FOR
    if document["excursions"]:
        return NEAR_MISS
    if not document["samples"] and not readings:
        return NOTHING_READ
    is_whole = document["samples"] and not document["unobserved"] and not document["not_judged"]
    return WITHIN if is_whole else WITHIN_SEEN


def said_of(run: JudgedRun, excursion: Excursion) -> Said:
    """Return an excursion in sentences."""
    chart = next(chart for chart in run.charts if chart.name == excursion.chart)
    area = area_of(chart, excursion.area_possible)
    return Said(
        sentence=sentence_of(excursion, chart, run.channel(chart), run.records.get(chart.channel)),
        due=due_words(area),
        source=f"{chart.name}: {chart.source or 'source not recorded'}",
        is_due_first=area is not None and area.action.before_next_flight,
    )


def due_words(area: Area | None) -> str:
    """Return when what an area calls for is due."""
    if area is None:
        return ""
    return "Before the next flight." if area.action.before_next_flight else "Not called for before the next flight."


def limit_lines(run: JudgedRun, document: dict[str, Any], read: set[str]) -> list[LimitLine]:
    """Return every limit that was in force, with how it stands."""
    refused = refusals(run, document)
    return [
        LimitLine(chart.name, f"{limit_text(chart)}, not {beyond_word(chart)}", limit_word(run, chart, refused, read))
        for chart in run.data.charts
    ]


def limit_word(run: JudgedRun, chart: LimitChart, refused: dict[str, str], read: set[str]) -> str:
    """Return how one limit stands after a run."""
    found = run.of(chart)
    areas = [excursion.area_possible for excursion in found if excursion.area_possible]
    if areas:
        order = [area.name for area in chart.areas]
        return f"Beyond the limit, area {max(areas, key=order.index)}"
    if found:
        return NEAR_MISS
    if chart.name in refused:
        return f"Not judged: {refused[chart.name]}"
    if run.trace is None and chart.name not in read:
        return "Not judged: nothing was read"
    unseen = any(gap.channel == chart.channel for gap in run.unobserved)
    return "Within the limit, with gaps in the record" if unseen else "Within the limit"


def refusals(run: JudgedRun, document: dict[str, Any]) -> dict[str, str]:
    """Return why charts were not judged; a channel that has no column is called by its label."""
    channels = {chart.name: run.channel(chart) for chart in run.data.charts}
    words = {}
    for line in document["not_judged"]:
        channel, reason = channels[line["chart"]], line["reason"]
        is_missing = reason.endswith(f"column for {channel.name}")
        label = channel.label or channel.name
        words[line["chart"]] = f"{reason.removesuffix(channel.name)}{label}" if is_missing else reason
    return words


def unknown_lines(run: JudgedRun, document: dict[str, Any]) -> list[str]:
    """Return what the record does not show, or shows in words where numbers belong."""
    labels = {channel.name: channel.label or channel.name for channel in run.data.channels}
    gaps = [f"{labels[gap.channel]} was not observed {from_to(gap)}." for gap in run.unobserved]
    cells = [f"Column {line['column']}: {cells_words(line)}." for line in document["ignored"]]
    refused = [f"{chart} was not judged: {reason}." for chart, reason in refusals(run, document).items()]
    return [*gaps, *cells, *document["notes"], *refused]


def from_to(gap: Unobserved) -> str:
    """Return from when to when something was not observed."""
    return f"from {clock_text(gap.start_s, 1)} to {clock_text(gap.end_s, 1)}"


def cells_words(line: dict[str, Any]) -> str:
    """Return how many cells of a column hold words in a number's place, with one of them."""
    return f"{count_text(line['cells'], 'cell')} without a number, for example “{line['example']}”"


def facts_by_chart(run: JudgedRun, chart: LimitChart) -> list[dict[str, str]]:
    """Return every fact of a chart's picture in words, one table for each excursion."""
    return facts_of(chart, run.excursions, run.channel(chart))
