"""What a repeat count rests on: each event of the engine's history, whether it was counted, and why not."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet

from engines.charts import LimitChart, Repeat
from engines.models import Run
from inspections.history import (
    beginning_of,
    event_of,
    is_since_action,
    judgements_since,
    judgements_standing,
    worst_of_each,
)
from inspections.models import Exceedance, Inspection, Judgement
from inspections.repeats import repeat_words, why_not_counted

NO_TIME = "it adds no time beyond the rule's value"


@dataclass(frozen=True)
class CountedLine:
    """One event, or for a rule of total time one run, as a rule took it; ``why_not`` is empty where it was counted.

    ``place`` is the excursion's in its judgement, counted from 1; ``seconds`` is what a run adds. [s]
    """

    run: Run
    judgement: Judgement
    place: int
    area: str | None
    inspection: Inspection | None
    seconds: float | None
    why_not: str


@dataclass(frozen=True)
class CountSource:
    """One repeat count of a judgement with its rule and the history that it was counted over, newest first."""

    judgement: Judgement
    chart: LimitChart
    index: int
    lines: tuple[CountedLine, ...]
    begins: str

    @property
    def rule(self) -> Repeat:
        """Return the rule."""
        return self.chart.repeats[self.index]

    @property
    def words(self) -> str:
        """Return the rule in words."""
        return repeat_words(self.chart, self.rule)

    @property
    def stated(self) -> dict[str, object]:
        """Return the count as the verdict keeps it."""
        repeats: list[dict[str, object]] = self.judgement.verdict["repeats"]
        return next(line for line in repeats if (line["chart"], line["index"]) == (self.chart.name, self.index))

    @property
    def counted(self) -> tuple[CountedLine, ...]:
        """Return what was counted."""
        return tuple(line for line in self.lines if not line.why_not)

    @property
    def left_out(self) -> tuple[CountedLine, ...]:
        """Return what was not counted."""
        return tuple(line for line in self.lines if line.why_not)

    @property
    def total(self) -> float:
        """Return what the lines come to: events, or seconds for a rule of total time."""
        if self.rule.area is not None:
            return len(self.counted)
        return sum(line.seconds or 0.0 for line in self.counted)

    @property
    def has_changed(self) -> bool:
        """Return whether the record has changed since, so that the lines come to another figure."""
        return abs(self.total - float(str(self.stated["counted"]))) > 1e-6


def count_source(judgement: Judgement, place: int) -> CountSource | None:
    """Return what one repeat count of a judgement rests on, by its place from 1; None where there is no such count."""
    repeats = judgement.verdict["repeats"]
    if isinstance(repeats, str) or not 1 <= place <= len(repeats):
        return None
    stated = repeats[place - 1]
    chart = next(chart for chart in judgement.revision.data.charts if chart.name == stated["chart"])
    lines = _lines(judgement, chart, stated["index"])
    return CountSource(judgement, chart, stated["index"], lines, _begins(judgement, chart.repeats[stated["index"]]))


def _lines(judgement: Judgement, chart: LimitChart, index: int) -> tuple[CountedLine, ...]:
    engine, rule = judgement.run.engine, chart.repeats[index]
    inside = set(judgements_since(engine, rule, judgement).values_list("pk", flat=True))
    rows = Exceedance.objects.filter(judgement__in=judgements_standing(engine, judgement), chart=chart.name)
    rows = rows.select_related("judgement__run", "inspection").order_by("-judgement__run__started_at", "pk")
    places = _places(rows.order_by().values("judgement_id"))
    before = _why_before(judgement, rule)
    found: list[tuple[Exceedance, float | None, str]]
    if rule.area is not None:
        found = [(row, None, why_not_counted(event_of(row), chart, rule)) for row in worst_of_each(rows, chart)]
    else:
        found = [(row, *_time(row, f"{chart.name}|{index}")) for row in _first_of_each(rows)]
    return tuple(
        CountedLine(
            run=row.judgement.run,
            judgement=row.judgement,
            place=places[row.pk],
            area=row.area_possible,
            inspection=row.inspection,
            seconds=seconds,
            why_not=why_not if row.judgement_id in inside else before,
        )
        for row, seconds, why_not in found
    )


def _first_of_each(rows: Iterable[Exceedance]) -> list[Exceedance]:
    """Return the first exceedance of each run, under which what the run adds in all is listed."""
    first: dict[int, Exceedance] = {}
    for row in rows:
        first.setdefault(row.judgement_id, row)
    return list(first.values())


def _time(row: Exceedance, key: str) -> tuple[float, str]:
    seconds = float(row.judgement.repeat_seconds.get(key, 0.0))
    return seconds, "" if seconds else NO_TIME


def _places(judgements: QuerySet[Exceedance, Any]) -> dict[int, int]:
    """Return each exceedance's place in its judgement, counted from 1: they are kept in the order of the verdict."""
    places: dict[int, int] = {}
    seen: dict[int, int] = defaultdict(int)
    rows = Exceedance.objects.filter(judgement__in=judgements).order_by("pk")
    for pk, judgement in rows.values_list("pk", "judgement_id"):
        seen[judgement] += 1
        places[pk] = seen[judgement]
    return places


def _begins(judgement: Judgement, rule: Repeat) -> str:
    """Return from when on the rule counted, in a sentence."""
    if isinstance(rule.since, tuple) and not is_since_action(rule):
        return f"Counted are runs after which the engine ran no more than {float(rule.since[1]):g} h."
    if rule.since == "new":
        return "Counted from new: every run that is recorded here."
    begins = beginning_of(judgement.run.engine, rule, judgement)
    what = f"approved “{rule.since[1]}”" if isinstance(rule.since, tuple) else "overhaul"
    if begins is None:
        return f"No {what} is recorded, so every run counts that is recorded here."
    return f"Counted from {begins:%Y-%m-%d} on: the last {what} that is recorded."


def _why_before(judgement: Judgement, rule: Repeat) -> str:
    if isinstance(rule.since, tuple) and not is_since_action(rule):
        return f"the engine has run more than {float(rule.since[1]):g} h since"
    return "it was before the count began"
