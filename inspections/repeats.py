"""How often, and for how long in all, a transient has happened: what repeat rules call for."""

from dataclasses import dataclass

from engines.charts import LimitChart, Repeat
from engines.edges import MICROSECOND


@dataclass(frozen=True)
class Event:
    """One event of the engine's history on one chart: its possible area, and how far its cause is known."""

    area: str | None
    cause: str = "not_found"


@dataclass(frozen=True)
class RepeatCount:
    """How a repeat rule stands after a run."""

    chart: str
    index: int
    rule: str
    counted: float
    allowed: float
    is_reached: bool
    action: str

    def document(self) -> dict[str, object]:
        """Return the count as plain data."""
        return vars(self).copy()


def counts(event: Event, chart: LimitChart, rule: Repeat) -> bool:
    """Return whether an event counts for a rule: it entered the rule's area or a worse one, cause not excepted.

    Parameters
    ----------
    event : Event
        The event.
    chart : LimitChart
        The chart of both.
    rule : Repeat
        A rule with ``area``.

    Returns
    -------
    bool
        Whether it counts.

    Notes
    -----
    Each area lies inside the one before it, so an event in a worse area has entered this one too. A
    corrected cause has been found; ``unless_cause`` "found" excepts both. An area that the chart no longer
    has counts.
    """
    return not why_not_counted(event, chart, rule)


def why_not_counted(event: Event, chart: LimitChart, rule: Repeat) -> str:
    """Return why an event does not count for a rule, or "" where it does.

    Parameters
    ----------
    event : Event
        The event.
    chart : LimitChart
        The chart of both.
    rule : Repeat
        A rule with ``area``.

    Returns
    -------
    str
        Without a capital or a full stop, for example "its cause is found".
    """
    if event.area is None:
        return "it entered no area"
    milder = [area.name for area in chart.areas]
    if event.area in milder[: milder.index(str(rule.area))]:
        return f"area {event.area} is milder than area {rule.area}"
    excepted = {"found": ("found", "corrected"), "corrected": ("corrected",)}.get(rule.unless_cause or "", ())
    return f"its cause is {event.cause}" if event.cause in excepted else ""


def count_events(chart: LimitChart, index: int, events: list[Event]) -> RepeatCount:
    """Return how an event-counting rule stands; it is reached when the count is.

    Parameters
    ----------
    chart : LimitChart
        The chart.
    index : int
        Which of its repeats.
    events : list of Event
        The engine's events on the chart since the rule's beginning, this run's included.

    Returns
    -------
    RepeatCount
        How it stands.
    """
    rule = chart.repeats[index]
    counted, allowed = sum(counts(event, chart, rule) for event in events), rule.count or 0
    return RepeatCount(
        chart.name, index, repeat_words(chart, rule), counted, allowed, counted >= allowed, rule.action.summary
    )


def count_seconds(chart: LimitChart, index: int, seconds: float) -> RepeatCount:
    """Return how a total-time rule stands; it is reached by more than its seconds, or by as many on the boundary.

    Parameters
    ----------
    chart : LimitChart
        The chart.
    index : int
        Which of its repeats.
    seconds : float
        The engine's time beyond the rule's value since its beginning, this run's included. [s]

    Returns
    -------
    RepeatCount
        How it stands.
    """
    rule = chart.repeats[index]
    allowed = rule.seconds or 0.0
    over = seconds - allowed
    is_reached = over >= -MICROSECOND and seconds > 0 if chart.on_boundary == "beyond" else over > MICROSECOND
    return RepeatCount(chart.name, index, repeat_words(chart, rule), seconds, allowed, is_reached, rule.action.summary)


def repeat_words(chart: LimitChart, rule: Repeat) -> str:
    """Return a rule in words.

    Parameters
    ----------
    chart : LimitChart
        The chart.
    rule : Repeat
        One of its repeats.

    Returns
    -------
    str
        For example "3 events in area A or beyond since overhaul".
    """
    since = f"since {rule.since}" if isinstance(rule.since, str) else f"since the last {rule.since[1]}"
    if isinstance(rule.since, tuple) and rule.since[0] == "hours":
        since = f"in the last {rule.since[1]:g} hours"
    if rule.area is not None:
        what = f"{rule.count} events in area {rule.area} or beyond"
    else:
        what = f"{rule.seconds:g} s {chart.side} {rule.above:g} {chart.unit} in all"
    excepted = {"found": ", causes found not counted", "corrected": ", causes corrected not counted"}
    return f"{what} {since}{excepted.get(rule.unless_cause or '', '')}"
