"""An engine's condition as screens, REST and prints show it: power checks, trends, and what happened beside them."""

from dataclasses import dataclass, replace
from datetime import date, datetime

from django.utils import timezone

from engines.charts import EngineTypeData
from engines.condition import CheckedAt, ConditionTrend, MarginPoint, condition_trend
from engines.models import CruiseSetting, Engine, PowerCheckRecord
from engines.power_queries import CheckedPower, checks_worked, rules_of
from engines.power_rules import QUANTITIES
from engines.scales import Scale
from engines.trends import Shift, Slope
from engines.units import symbol_of
from inspections.drawing.trend_picture import TrendScene
from inspections.drawing.words import clock_text, quantity
from inspections.models import Exceedance
from logbook.models import Person
from logbook.shown_units import scales_for

MOST_EVENTS = 60


@dataclass(frozen=True)
class EngineCondition:
    """An engine's power checks worked out, the earliest first, and its type where it has rules of power."""

    engine: Engine
    data: EngineTypeData | None
    checks: list[CheckedPower]
    trends: list[ConditionTrend]

    @property
    def newest_first(self) -> list[CheckedPower]:
        """Return the checks, the newest first."""
        return self.checks[::-1]


@dataclass(frozen=True)
class Happening:
    """An excursion beyond a maker's limit, or a near miss: when, and in words what."""

    at: datetime
    run: object
    words: str
    is_exceedance: bool


def condition_of_engine(engine: Engine, today: date | None = None) -> EngineCondition:
    """Return an engine's power checks, and how its margins go."""
    data = rules_of(engine)
    if data is None:
        return EngineCondition(engine, None, [], [])
    rows = PowerCheckRecord.objects.filter(engine=engine).select_related("engine", "by")
    checks = checks_worked(rows, data)
    at = [CheckedAt(one.row.at, one.check, one.row.why if one.row.begins_baseline else "") for one in checks]
    rules = data.trend
    found = [] if rules is None else [condition_trend(at, name, rules, engine.overhauled_on) for name in QUANTITIES]
    return EngineCondition(engine, data, checks, [trend for trend in found if trend is not None])


def happenings_of(engine: Engine) -> list[Happening]:
    """Return what went beyond the maker's limits, newest first: exceedances and near misses, of what stands."""
    rows = Exceedance.objects.filter(engine=engine, judgement__is_current=True)
    rows = rows.select_related("judgement__run").order_by("-judgement__run__started_at", "start_s")
    return [_happening(row) for row in rows[:MOST_EVENTS]]


def _happening(row: Exceedance) -> Happening:
    area = "near miss, no area entered" if row.area_possible is None else f"area {row.area_possible}"
    peak = "reading not known" if row.peak is None else f"to {quantity(row.peak, row.unit)}"
    took = "" if row.seconds_above is None else f", {clock_text(row.seconds_above)} beyond the limit"
    run = row.judgement.run
    return Happening(run.started_at, run.pk, f"{row.chart}: {area}, {peak}{took}", row.area_possible is not None)


def scenes_of(condition: EngineCondition, happenings: list[Happening], scales: dict[str, Scale]) -> list[TrendScene]:
    """Return the pictures of the trends on the scales that a person sees, with the exceedances beside them."""
    data = condition.data
    if data is None:
        return []
    # Of several in one run the first stands for all: they are one line in the picture.
    events = tuple({one.at: (one.at, one.words) for one in reversed(happenings) if one.is_exceedance}.values())
    return [
        TrendScene(trend_on(trend, scales.get(trend.channel)), data.channel(trend.channel).label, events)
        for trend in condition.trends
    ]


def trend_on(trend: ConditionTrend, scale: Scale | None) -> ConditionTrend:
    """Return a trend on another scale; margins and slopes convert as differences."""
    if scale is None:
        return trend

    def turned(difference: float) -> float:
        return scale.difference(difference, 0.0)

    slope, shift = trend.slope, trend.shift
    return replace(
        trend,
        unit=scale.shown,
        points=tuple(MarginPoint(p.at, turned(p.margin), p.is_counted) for p in trend.points),
        baseline=None if trend.baseline is None else turned(trend.baseline),
        latest=None if trend.latest is None else turned(trend.latest),
        slope=slope and Slope(*map(turned, (slope.slope, slope.low, slope.high, slope.at_zero))),
        shift=shift and Shift(shift.before, turned(shift.size), shift.statistic, shift.chance),
    )


def scales_of_condition(user: Person, condition: EngineCondition) -> dict[str, Scale]:
    """Return the scales on which a person sees the channels of an engine's condition."""
    if condition.data is None:
        return {}
    return scales_for(user, condition.engine, condition.data, timezone.localdate())


@dataclass(frozen=True)
class CardLine:
    """One setting on an engine's card of cruise settings, in words; ``band`` is its altitude's."""

    row: CruiseSetting
    band: str
    altitude: str
    air: str
    full: str
    reduced: str
    cruise: str
    rise: str
    fuel: str


def card_lines(engine: Engine, data: EngineTypeData) -> list[CardLine]:
    """Return the settings on an engine's card by altitude, then by temperature; what is not known comes last."""
    rows = list(CruiseSetting.objects.filter(engine=engine).select_related("run", "by"))
    rows.sort(key=lambda row: [_last_if_none(row.facts.get(name)) for name in ("altitude_ft", "air_c")])
    return [_card_line(row, data) for row in rows]


def _last_if_none(figure: float | None) -> tuple[bool, float]:
    return figure is None, figure or 0.0


def _card_line(row: CruiseSetting, data: EngineTypeData) -> CardLine:
    rules, facts = data.power, row.facts
    if rules is None:
        raise ValueError("A card of settings is of a type with rules of power.")
    altitude, air = facts.get("altitude_ft"), facts.get("air_c")

    def said(setting: str, *channels: str) -> str:
        means = facts[setting]
        told = (quantity(round(means[name], 1), data.channel(name).unit) for name in channels if name in means)
        return ", ".join(told)

    torque = symbol_of(data.channel(rules.torque).unit)
    fall = quantity(round(facts["propeller_fall"]), data.channel(rules.propeller).unit)
    return CardLine(
        row=row,
        band="Altitude not recorded" if altitude is None else f"About {round(altitude / 2000) * 2000:,} ft",
        altitude="not recorded" if altitude is None else f"{round(altitude, -2):,.0f} ft",
        air="not recorded" if air is None else f"{air:.0f} °C",
        full=said("full", rules.torque, rules.propeller),
        reduced=said("reduced", rules.torque, rules.propeller),
        cruise=said("cruise", rules.torque, rules.propeller, rules.temperature),
        rise=f"{facts['torque_rise']:.1f} {torque} as it came back by {fall}",
        fuel=said("cruise", rules.fuel_flow),
    )
