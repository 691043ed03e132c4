"""How a verdict on one excursion was reached, in sentences: the rule, the arithmetic, and what was assumed."""

import math
from dataclasses import dataclass
from itertools import pairwise

from engines.charts import LimitChart
from engines.units import symbol_of
from inspections.drawing.facts import beyond_word, duration_text, limit_text, margin_words, value_text
from inspections.drawing.words import clock_text, figure, quantity, seconds_text
from inspections.explaining import SAME_TIME, Case, Check, Shape, checks_of
from inspections.verdict import Excursion

NOTHING_ASSUMED = "Nothing was assumed: the record has no gap there, and no tolerance is stated for the instrument."
NO_EVIDENCE = "The trace it was judged on is not at hand."
METHOD = {
    "peak": "Judged by the peak: the whole time {beyond} the limit is taken to be spent at the peak.",
    "time_above": "Judged by the time {beyond} each value: an area is entered where that time is more than is allowed.",
}
BOUNDARY = {
    "step": "Between two corners of an area the allowed time stays what it is at the corner nearer the limit.",
    "linear": "Between two corners of an area the allowed time runs in a straight line.",
}
ON_BOUNDARY = {
    "within": "A reading on the limit is within it, and exactly the allowed time is allowed.",
    "beyond": "A reading on the limit is beyond it, and exactly the allowed time is no longer allowed.",
}


@dataclass(frozen=True)
class Explanation:
    """A verdict on one excursion, worked through: each figure with the sentences it follows from."""

    rules: tuple[str, ...]
    seconds: tuple[str, ...]
    peak: str
    areas: tuple[str, ...]
    margin: str
    assumed: tuple[str, ...]
    worst: tuple[str, ...]


def explanation_of(case: Case) -> Explanation:
    """Return how the verdict on one excursion was reached.

    Parameters
    ----------
    case : Case
        The excursion with what it was judged from.

    Returns
    -------
    Explanation
        ``worst`` is empty where nothing had to be assumed.
    """
    proven, worst = case.shapes
    assumed = _assumed(case)
    return Explanation(
        rules=rule_words(case),
        seconds=_seconds(case),
        peak=_peak(case),
        areas=_areas(case.chart, proven) if proven is not None else (_not_proven(case),),
        margin=_margin(case.excursion),
        assumed=assumed or (NOTHING_ASSUMED,),
        worst=_areas(case.chart, worst) if worst is not None and assumed else (),
    )


def rule_words(case: Case) -> tuple[str, ...]:
    """Return the rule by which an excursion was judged.

    Parameters
    ----------
    case : Case
        The excursion.

    Returns
    -------
    tuple of str
        A sentence for each part of the rule that applies.
    """
    chart = case.chart
    beyond = beyond_word(chart)
    judged = "over the whole record" if chart.regimes is None else f"while {' or '.join(chart.regimes)}"
    method = "peak" if case.excursion.evidence is not None else chart.method
    words = [
        f"The limit is {limit_text(chart)}; what is {beyond} it counts, {judged}.",
        METHOD[method].format(beyond=beyond),
        BOUNDARY[chart.boundary],
        ON_BOUNDARY[chart.on_boundary],
    ]
    if chart.rejoin_s:
        words.append(f"Stretches no more than {seconds_text(chart.rejoin_s)} apart count as one excursion.")
    if chart.accumulate == "run":
        words.append("All stretches of one run count together.")
    return (*words, "Times are compared to the microsecond.")


def _seconds(case: Case) -> tuple[str, ...]:
    """Return the sum of the unbroken stays beyond the limit."""
    chart, said = case.chart, case.excursion.seconds_above
    if case.excursion.evidence is not None:
        return ("As written down from the gauge: not known." if said is None else _written(seconds_text(said)),)
    if case.view is None:
        return (NO_EVIDENCE,)
    if case.proven is None:
        return (f"No sample proves any time {beyond_word(chart)} {limit_text(chart)}.",)
    longest = seconds_text(case.max_gap_s)
    lines = [
        f"{clock_text(start, 3)} to {clock_text(end, 3)}: {duration_text(end - start, chart)}"
        for start, end in case.stays
    ]
    total = f"Together {duration_text(said or 0.0, chart)} {beyond_word(chart)} {limit_text(chart)}."
    crossing = (
        f"Between two samples no more than {longest} apart the reading is taken to run in a straight line; "
        "where that line crosses the limit, the time begins or ends."
    )
    return (*lines, total, crossing)


def _written(text: str) -> str:
    return f"As written down from the gauge: {text}."


def _peak(case: Case) -> str:
    peak, chart = case.excursion.peak, case.chart
    if peak is None:
        return "The peak is not known."
    if case.excursion.evidence is not None:
        return _written(value_text(peak, chart))
    word = "highest" if chart.side == "above" else "lowest"
    turned = "" if case.channel.unit == chart.unit else f", recorded in {symbol_of(case.channel.unit)}"
    return f"The {word} valid sample in the excursion is {value_text(peak, chart)}{turned}."


def _not_proven(case: Case) -> str:
    return NO_EVIDENCE if case.view is None else "No sample proves the excursion, so no area is proven to be entered."


def _margin(excursion: Excursion) -> str:
    words = margin_words(excursion)
    if words:
        return f"{words}: so much more in value, or so much longer, would have entered it."
    if excursion.margin is not None:
        return f"The time was too short for area {excursion.margin.next_area} at any value."
    return "There is no more severe area." if excursion.area else "There is no figure for it."


def _areas(chart: LimitChart, shape: Shape) -> tuple[str, ...]:
    if not chart.areas:
        return ("The chart has no areas: anything beyond its limit is recorded, and nothing is called for.",)
    return tuple(check_words(check, chart) for check in checks_of(chart, shape))


def check_words(check: Check, chart: LimitChart) -> str:
    """Return one area held against what was read, in a sentence with its figures.

    Parameters
    ----------
    check : Check
        The area and the value that decides.
    chart : LimitChart
        The chart.

    Returns
    -------
    str
        For example ``"Area B: 20 s above 720 °C, allowed 5 s: 15 s over, so it was entered."``
    """
    if check.value is None:
        begins = quantity(check.begins, chart.unit)
        return f"Area {check.area}: no time {beyond_word(chart)} {begins}, where it begins: not entered."
    ending = "so it was entered" if check.is_entered else "so it was not entered"
    allowed = f"{_allowed(check)}{_between(check, chart)}"
    return f"Area {check.area}: {_spent(check, chart)}, allowed {allowed}: {_over(check)}, {ending}."


def _spent(check: Check, chart: LimitChart) -> str:
    time = "a time that is not known" if math.isinf(check.spent_s) else duration_text(check.spent_s, chart)
    if check.is_whole:
        known = check.value is not None and not math.isinf(check.value)
        peak = value_text(check.value or 0.0, chart) if known else "a value that is not known"
        return f"{time}, all of it taken to be at {peak}"
    side = f"at or {chart.side}" if check.is_reached else chart.side
    return f"{time} {side} {value_text(check.value or 0.0, chart)}"


def _between(check: Check, chart: LimitChart) -> str:
    """Return the two corners between which a straight edge was read, if it was."""
    value = chart.sign * (check.value or 0.0)
    corners = next(area.allowed for area in chart.areas if area.name == check.area)
    for near, far in pairwise(corners if chart.boundary == "linear" else ()):
        if chart.sign * near.value < value < chart.sign * far.value and near.seconds != far.seconds:
            ends = [f"{seconds_text(corner.seconds)} at {quantity(corner.value, chart.unit)}" for corner in (near, far)]
            return f" (on the line from {ends[0]} to {ends[1]})"
    return ""


def _allowed(check: Check) -> str:
    return "no time" if check.allowed_s <= 0 else seconds_text(check.allowed_s, (check.spent_s,))


def _over(check: Check) -> str:
    if math.isinf(check.over_s):
        return "as long as may be"
    if abs(check.over_s) <= SAME_TIME:
        return "exactly as much"
    return f"{figure(abs(check.over_s))} s {'over' if check.over_s > 0 else 'short'}"


def _assumed(case: Case) -> tuple[str, ...]:
    """Return what had to be assumed for the area at worst."""
    chart, excursion = case.chart, case.excursion
    words = []
    for gap in case.gaps:
        level = value_text(chart.sign * gap.level, chart)
        span = f"from {clock_text(gap.start_s, 1)} to {clock_text(gap.end_s, 1)}"
        lasting = seconds_text(gap.end_s - gap.start_s)
        words.append(f"Not observed {span}: at worst those {lasting} were spent at {level}, the worse end of the gap.")
    if case.view is not None and case.view.tolerance > 0:
        tolerance = quantity(case.view.tolerance, chart.unit)
        words.append(f"The instrument's tolerance of {tolerance} is at worst added against every reading.")
    if excursion.evidence is not None and excursion.peak is None:
        words.append("The peak is not known: at worst it was beyond every value of the chart.")
    if excursion.evidence is not None and excursion.seconds_above is None:
        words.append("The time is not known: at worst it was longer than any time allowed.")
    if excursion.open_ended and excursion.evidence is None:
        words.append("It reaches the end of the record, so its true length is not known.")
    return tuple(words)
