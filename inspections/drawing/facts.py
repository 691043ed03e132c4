"""The facts of a picture in words: a sentence and a table for each excursion, and a caption for the samples."""

from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np

from engines.charts import Area, Channel, LimitChart
from engines.traces import Trace
from engines.units import symbol_of
from inspections.drawing.bands import levels_of
from inspections.drawing.words import clock_text, count_text, figure, quantity, seconds_text, short_of
from inspections.verdict import Excursion

NOT_KNOWN = "not known"
READ_BY = {
    "peak": "the whole time taken to be at the peak",
    "time_above": "the time {beyond} each value",
}

# In which the facts of an excursion are read, whatever the side of the limit.
ORDER: Final = (
    "Measured",
    "Limit",
    "From",
    "To",
    "Time … limit",
    "Peak",
    "Lowest",
    "Time … level",
    "Area",
    "Area at worst",
    "Short of the next area",
    "Called for",
    "Judged by",
    "Source of the limit",
)


def beyond_word(chart: LimitChart) -> str:
    """Return the word for the wrong side of a chart's limit.

    Parameters
    ----------
    chart : LimitChart
        The chart.

    Returns
    -------
    str
        ``"above"``, ``"at or above"``, ``"below"`` or ``"at or below"``.
    """
    return chart.side if chart.on_boundary == "within" else f"at or {chart.side}"


def limit_text(chart: LimitChart) -> str:
    """Return a chart's limit with its unit.

    Parameters
    ----------
    chart : LimitChart
        The chart.

    Returns
    -------
    str
        For example ``"700 °C"``.
    """
    return quantity(chart.limit, chart.unit)


def value_text(value: float, chart: LimitChart) -> str:
    """Return a reading with its unit, never rounded onto a level of the chart that it is not at.

    Parameters
    ----------
    value : float
        The reading. [chart's unit]
    chart : LimitChart
        The chart it is compared with.

    Returns
    -------
    str
        For example ``"718 °C"``.
    """
    return quantity(value, chart.unit, levels_of(chart))


def duration_text(seconds: float, chart: LimitChart) -> str:
    """Return a time beyond a level, never rounded onto a time of the chart that it is not.

    Parameters
    ----------
    seconds : float
        The time. [s]
    chart : LimitChart
        The chart it is compared with.

    Returns
    -------
    str
        For example ``"70.7 s"``.
    """
    return seconds_text(seconds, (vertex.seconds for area in chart.areas for vertex in area.allowed))


def possible_only(excursion: Excursion) -> bool:
    """Return whether no sample proves an excursion.

    Parameters
    ----------
    excursion : Excursion
        An excursion of a verdict.

    Returns
    -------
    bool
        True where only unobserved time or the instrument's tolerance speaks for it.
    """
    return (
        excursion.area is None and excursion.margin is None and not excursion.seconds_above and not excursion.evidence
    )


def area_of(chart: LimitChart, name: str | None) -> Area | None:
    """Return the area of a name.

    Parameters
    ----------
    chart : LimitChart
        The chart.
    name : str or None
        Name of one of its areas, or None for none.

    Returns
    -------
    Area or None
        The area, or None where the chart has none of that name.
    """
    return next((area for area in chart.areas if area.name == name), None)


def area_words(excursion: Excursion) -> str:
    """Return the area that was entered, and the one it may have been at worst.

    Parameters
    ----------
    excursion : Excursion
        An excursion of a verdict.

    Returns
    -------
    str
        For example ``"area A, at worst area B"`` or ``"no area entered"``.
    """
    proven, worst = excursion.area, excursion.area_possible
    if proven == worst:
        return "no area entered" if proven is None else f"area {proven}"
    return f"{'no area proven' if proven is None else f'area {proven}'}, at worst area {worst}"


def margin_words(excursion: Excursion) -> str | None:
    """Return how far an excursion stayed from the next area, in value and in seconds.

    Parameters
    ----------
    excursion : Excursion
        An excursion of a verdict.

    Returns
    -------
    str or None
        For example ``"2.0 °C or 1.3 s short of area A"``, or None where there is no next area.
    """
    margin = excursion.margin
    if margin is None:
        return None
    parts = [] if margin.value is None else [f"{short_of(margin.value)} {symbol_of(excursion.unit)}"]
    parts += [] if margin.seconds is None else [f"{short_of(margin.seconds)} s"]
    return f"{' or '.join(parts)} short of area {margin.next_area}" if parts else None


def _called_for(area: Area | None) -> str:
    return "" if area is None else f", which calls for: {area.action.summary.rstrip('.')}"


def _was_beyond(excursion: Excursion, chart: LimitChart, name: str) -> str:
    """Return the first half of the sentence: what was beyond the limit, for how long, how far."""
    limit = f"{beyond_word(chart)} {limit_text(chart)}"
    peak = "" if excursion.peak is None else value_text(excursion.peak, chart)
    if possible_only(excursion):
        highest = f"; the {_extreme(chart)} reading there was {peak}" if peak else ""
        return f"{name} may have been {limit}{_from_to(excursion)}, but no sample proves it{highest}"
    lasting = "" if excursion.seconds_above is None else f" for {duration_text(excursion.seconds_above, chart)}"
    return f"{name} was {limit}{lasting}" + (f", {_peak_word(chart)} {peak}" if peak else "")


def _peak_word(chart: LimitChart) -> str:
    return "peak" if chart.side == "above" else "lowest"


def _extreme(chart: LimitChart) -> str:
    return "highest" if chart.side == "above" else "lowest"


def _from_to(excursion: Excursion) -> str:
    if excursion.start_s is None or excursion.end_s is None:
        return ""
    return f" from {clock_text(excursion.start_s, 1)} to {clock_text(excursion.end_s, 1)}"


def _not_known_cause(excursion: Excursion, channel: Channel | None) -> str:
    if excursion.evidence is not None:
        return "Its peak or its time is not known: at worst"
    if channel is None or channel.tolerance <= 0:
        return "The record has a gap: at worst"
    tolerance = f"{figure(channel.tolerance)} {symbol_of(channel.unit)}"
    return f"With gaps in the record and the instrument's tolerance of {tolerance} counted against it: at worst"


def sentence_of(
    excursion: Excursion,
    chart: LimitChart,
    channel: Channel | None = None,
    record: tuple[float, float] | None = None,
) -> str:
    """Return what an excursion was and what it calls for, in plain sentences.

    Parameters
    ----------
    excursion : Excursion
        An excursion of a verdict.
    chart : LimitChart
        The chart it was judged by.
    channel : Channel or None
        The channel, for its label and its instrument's tolerance; without it the channel's name stands.
    record : pair of float or None
        Times of the channel's first and last valid sample, to say at which of them an open-ended excursion is cut. [s]

    Returns
    -------
    str
        The verdict in words; it says what the chart calls for and nothing about what may be flown.
    """
    name = chart.channel if channel is None else channel.label
    found = _was_beyond(excursion, chart, name)
    proven, worst = area_of(chart, excursion.area), area_of(chart, excursion.area_possible)
    parts = [found if possible_only(excursion) else f"{found}: {_entered(excursion, proven)}"]
    if excursion.area != excursion.area_possible:
        parts.append(f"{_not_known_cause(excursion, channel)} area {excursion.area_possible}{_called_for(worst)}")
    if excursion.open_ended:
        parts.append(f"{_cut_words(excursion, beyond_word(chart), record)}; its true length is not known")
    return " ".join(f"{part}." for part in parts)


def _entered(excursion: Excursion, proven: Area | None) -> str:
    if proven is not None:
        return f"area {proven.name}{_called_for(proven)}"
    margin = margin_words(excursion)
    none = "no area entered" if excursion.area_possible is None else "no area proven"
    return f"{none}; {margin}" if margin else none


def _cut_words(excursion: Excursion, beyond: str, record: tuple[float, float] | None) -> str:
    at_start = record is not None and excursion.start_s == record[0]
    at_end = record is not None and excursion.end_s == record[1]
    if at_start and not at_end:
        return f"It was already {beyond} at the start of the record"
    if at_start:
        return f"It was {beyond} from the start of the record to its end"
    return f"It was still {beyond} at the end of the record" + ("" if at_end else ", or already at its start")


def _times(excursion: Excursion) -> dict[str, str]:
    times = {"From": excursion.start_s, "To": excursion.end_s}
    return {name: "not recorded" if at is None else clock_text(at, 1) for name, at in times.items()}


def _levels_words(excursion: Excursion, chart: LimitChart) -> str:
    levels = [f"{quantity(v.value, chart.unit)}: {duration_text(v.seconds, chart)}" for v in excursion.levels]
    return "; ".join(levels) or NOT_KNOWN


def _margin_fact(excursion: Excursion, chart: LimitChart) -> str:
    if excursion.margin is not None:
        return margin_words(excursion) or f"too short for area {excursion.margin.next_area} at any value"
    return "none is more severe" if chart.areas and excursion.area == chart.areas[-1].name else NOT_KNOWN


def _facts(excursion: Excursion, chart: LimitChart, name: str) -> dict[str, str]:
    seconds, peak = excursion.seconds_above, excursion.peak
    worst = area_of(chart, excursion.area_possible)
    beyond = beyond_word(chart)
    more = " or more" if excursion.open_ended else ""
    return {
        "Measured": name,
        "Limit": f"{limit_text(chart)} ({chart.name})",
        **_times(excursion),
        f"Time {beyond} the limit": NOT_KNOWN if seconds is None else f"{duration_text(seconds, chart)}{more}",
        _peak_word(chart).capitalize(): NOT_KNOWN if peak is None else value_text(peak, chart),
        f"Time {beyond} each level": _levels_words(excursion, chart),
        "Area": excursion.area or "none",
        "Area at worst": excursion.area_possible or "none",
        "Short of the next area": _margin_fact(excursion, chart),
        "Called for": "nothing" if worst is None else worst.action.summary,
        "Judged by": READ_BY[chart.method if excursion.evidence is None else "peak"].format(beyond=beyond),
        "Source of the limit": chart.source or "not recorded",
    }


def facts_of(
    chart: LimitChart, excursions: Sequence[Excursion], channel: Channel | None = None
) -> list[dict[str, str]]:
    """Return every fact of a chart's picture in words.

    Parameters
    ----------
    chart : LimitChart
        The chart.
    excursions : sequence of Excursion
        Excursions of a verdict; those of other charts are left out.
    channel : Channel or None
        The channel, for its label; without it the channel's name stands.

    Returns
    -------
    list of dict of str to str
        One per excursion: heading to text, in the same order in each.
    """
    name = chart.channel if channel is None else channel.label
    return [_facts(excursion, chart, name) for excursion in excursions if excursion.chart == chart.name]


def facts_in_order(facts: Mapping[str, str]) -> list[tuple[str, str]]:
    """Return the facts of one excursion in the order in which they are read.

    Parameters
    ----------
    facts : mapping of str to str
        One of :func:`facts_of`, in whatever order it was kept: canonical JSON sorts what it keeps.

    Returns
    -------
    list of (str, str)
        Heading and text; a heading that is not known comes last.
    """
    return sorted(facts.items(), key=lambda fact: _place(fact[0]))


def _place(name: str) -> int:
    known = f"Time … {name.split()[-1]}" if name.startswith("Time ") else name
    return ORDER.index(known) if known in ORDER else len(ORDER)


def caption_of(trace: Trace, channel: str, gaps: int) -> str:
    """Return what a picture was drawn from.

    Parameters
    ----------
    trace : Trace
        The trace.
    channel : str
        Name of the channel drawn.
    gaps : int
        How many gaps the channel has.

    Returns
    -------
    str
        For example ``"1,243 samples, 1.0 per second, 2 gaps"``; the rate is that of the usual step.
    """
    valid = np.isfinite(trace.channels[channel])
    steps = np.diff(trace.times[valid])
    steps = steps[steps > 0]
    rate = [] if steps.size == 0 else [f"{short_of(round(1 / float(np.median(steps)), 2))} per second"]
    return ", ".join([count_text(int(valid.sum()), "sample"), *rate, count_text(gaps, "gap")])
