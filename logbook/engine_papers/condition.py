"""An engine's card of cruise settings, and its condition, on paper."""

from collections.abc import Sequence
from math import inf
from typing import Any, Final

from django.http import Http404
from django.utils import timezone

from engines.charts import EngineTypeData
from engines.models import Engine
from engines.power_queries import NO_RULES, CheckedPower
from inspections.drawing.trend_picture import TrendScene, days_words, trend_picture, trend_summary
from inspections.drawing.words import quantity
from logbook.advisories import engine_advisory_of
from logbook.condition import EngineCondition, card_lines, condition_of_engine, happenings_of, scenes_of
from logbook.engine_papers.advisory import advisory_listings
from logbook.models import Person
from logbook.print_sets import engine_words_of
from logbook.printing.engine_sheet import EngineSheet, Listing
from logbook.printing.paper import TEXT_WIDTH
from logbook.printing.picture import PictureFlowable

SETTINGS: Final = "Cruise settings"
TREND: Final = "Condition and trend"
MOST_CHECKS, MOST_BEYOND = 4, 6  # so that it all stands on one page
PRINTED: Final = (480.0, 150.0)
PROPOSED: Final = (
    "Found in recorded flights and kept by a person. They are no approved data: the limits and the settings of the "
    "engine's and the aircraft's own manuals come first."
)
FORETOLD: Final = (
    "Margins are of readings corrected to standard sea level, against the type's power chart. A range of days assumes "
    "that the engine goes on as in these checks; it is no limit, and says nothing of whether the engine may fly."
)


def _sheet(engine: Engine, title: str, about: Sequence[tuple[str, Any]], listings: Sequence[Listing]) -> EngineSheet:
    operator = engine.operator
    return EngineSheet(
        title=title,
        operator=operator.name,
        place=operator.place,
        is_demo=operator.is_demo,
        engine=engine_words_of(engine),
        about=about,
        listings=listings,
    )


def _condition(engine: Engine) -> tuple[EngineCondition, EngineTypeData]:
    condition = condition_of_engine(engine)
    if condition.data is None:
        raise Http404(NO_RULES)
    return condition, condition.data


def settings_sheet(user: Person, engine: Engine) -> EngineSheet:
    """Return an engine's card of cruise settings, by altitude and temperature."""
    _, data = _condition(engine)
    lines = card_lines(engine, data)
    bands = list(dict.fromkeys(line.band for line in lines))
    headings = ("Altitude, air", "Full power", "Reduced to", "Cruise", "Torque rose by", "Fuel flow", "Flight")
    shares = (0.13, 0.13, 0.13, 0.18, 0.17, 0.1, 0.16)
    listings = [Listing("What this is", about=[PROPOSED])]
    for band in bands:
        rows = [
            [
                f"{line.altitude}\n{line.air}",
                line.full,
                line.reduced,
                line.cruise,
                line.rise,
                line.fuel,
                f"{line.row.run.started_at:%Y-%m-%d}",
            ]
            for line in lines
            if line.band == band
        ]
        listings.append(Listing(band, headings, shares, rows))
    if not lines:
        listings.append(Listing("Settings", headings, shares))
    return _sheet(engine, SETTINGS, [("Settings", str(len(lines)))], listings)


def trend_sheet(user: Person, engine: Engine) -> EngineSheet:
    """Return an engine's condition: margins with their trend, the latest checks, what went beyond limits meanwhile."""
    (condition, data), happenings = _condition(engine), happenings_of(engine)
    scenes = scenes_of(condition, happenings, {})
    margins = [[scene.label, trend_summary(scene), days_words(scene.trend)] for scene in scenes]
    pressing = min(scenes, key=_soonest, default=None)
    drawings = [] if pressing is None else [_drawn(pressing)]
    of_margins = ("Margin of", "How it goes", "Days until nothing is left")
    listings = [Listing("Margins", of_margins, (0.2, 0.5, 0.3), margins, [FORETOLD], drawings)]
    rows = [_check_row(data, one) for one in condition.newest_first[:MOST_CHECKS]]
    headings = ("Read at", "Air, altitude", "Power, corrected", "Margins to the chart", "Recorded by")
    listings.append(Listing("Latest power checks", headings, (0.16, 0.16, 0.2, 0.3, 0.18), rows))
    beyond = [[f"{one.at:%Y-%m-%d %H:%M}", one.words] for one in happenings[:MOST_BEYOND]]
    title = "Beyond the maker's limits, near misses among them"
    listings.append(Listing(title, ("Run", "What was seen"), (0.2, 0.8), beyond))
    own = advisory_listings(engine_advisory_of(user, engine, timezone.localdate()))[:1]
    counted = [("Power checks", str(len(condition.checks))), ("Beyond the maker's limits", f"{len(happenings)} times")]
    return _sheet(engine, TREND, [("Last overhaul", engine.overhauled_on), *counted], [*listings, *own])


def _soonest(scene: TrendScene) -> float:
    """Return in how many days a margin may be used up at the soonest; of what is not foretold, endless."""
    days = scene.trend.days
    return inf if days is None or days.soonest is None else days.soonest


def _drawn(scene: TrendScene) -> PictureFlowable:
    return PictureFlowable(trend_picture(scene, width=PRINTED[0], height=PRINTED[1]), TEXT_WIDTH)


def _check_row(data: EngineTypeData, one: CheckedPower) -> list[str]:
    readings, check = one.row.data, one.check
    left = {q.channel: "not on the chart" if q.margin is None else quantity(q.margin, q.unit) for q in check.quantities}
    margins = [f"{data.channel(name).label}: {words}" for name, words in left.items()]
    return [
        f"{one.row.at:%Y-%m-%d %H:%M}",
        f"{readings.air_c:g} °C, {readings.altitude_ft:,.0f} ft",
        f"{check.power:.0f} kW, {check.corrected:.0f} kW",
        "\n".join(margins),
        str(one.row.by),
    ]
