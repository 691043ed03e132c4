"""An engine's card of cruise settings, and its condition, on paper."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from math import inf
from typing import Any, Final

from django.utils import timezone

from engines.models import Engine
from engines.power_queries import NO_RULES
from inspections.advisory import RECENT_D
from inspections.drawing.trend_picture import TrendScene, shift_words, trend_cells, trend_picture
from inspections.drawing.words import count_text
from logbook.advisories import EngineAdvisory, engine_advisory_of
from logbook.condition import Happening, card_lines, condition_of_engine, happenings_of, scenes_of
from logbook.engine_papers.sheets import plain_sheet
from logbook.models import Person
from logbook.printing.engine_sheet import EngineSheet, Listing, picture_room
from logbook.printing.paper import TEXT_WIDTH
from logbook.printing.picture import PictureFlowable
from logbook.printing.running import Stamp

SETTINGS: Final = "Cruise settings"
TREND: Final = "Condition and trend"
MOST_BEYOND: Final = 6
BEYOND: Final = "Beyond the maker's limits, near misses among them"
HEADINGS: Final = ("Margin of", "Baseline", "Latest", "In 100 days", "Days left")
SHARES: Final = (0.35, 0.114, 0.116, 0.24, 0.18)
PRINTED: Final = 480.0  # width at which letters come out at 11 points [px]
LOWEST, HIGHEST = 130.0, 230.0  # of the picture; for a lower one, less of what went beyond limits is printed [pt]
PROPOSED: Final = (
    "Found in recorded flights and kept by a person. They are no approved data: the limits and the settings of the "
    "engine's and the aircraft's own manuals come first."
)
FORETOLD: Final = "Corrected to standard sea level, against the type's power chart; days if it goes on so."


def _sheet(engine: Engine, title: str, about: Sequence[tuple[str, Any]], listings: Sequence[Listing]) -> EngineSheet:
    return plain_sheet(engine, title, about, listings, columns=2)


def _ruleless(engine: Engine, title: str) -> EngineSheet:
    return _sheet(engine, title, [], [Listing("Power checks", about=[NO_RULES])])


def settings_sheet(user: Person, engine: Engine, stamp: Stamp) -> EngineSheet:
    """Return an engine's card of cruise settings, by altitude and temperature."""
    data = condition_of_engine(engine).data
    if data is None:
        return _ruleless(engine, SETTINGS)
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


def trend_sheet(user: Person, engine: Engine, stamp: Stamp) -> EngineSheet:
    """Return an engine's condition on one page: margins with their trend, and what went beyond limits meanwhile."""
    condition, happenings = condition_of_engine(engine), happenings_of(engine)
    if condition.data is None:
        return _ruleless(engine, TREND)
    scenes = scenes_of(condition, happenings, {})
    own = own_words(engine_advisory_of(user, engine, timezone.localdate()))
    since = f", since {scenes[0].trend.since_words}" if scenes else ""
    about = [("Last overhaul", engine.overhauled_on), ("Power checks", f"{len(condition.checks)}{since}")]
    margins = Listing("", HEADINGS, SHARES, [trend_cells(scene) for scene in scenes])
    sheet = _sheet(engine, TREND, about, [])
    numbers = {at: str(k) for k, (at, _) in enumerate(scenes[0].events, 1)} if scenes else {}
    if scenes:
        pressing = min(scenes, key=_soonest)
        sheet = replace(sheet, drawing=lambda height: _drawn(pressing, height))
    for most in range(MOST_BEYOND, 0, -1):
        beyond = _beyond(happenings, most, own, numbers)
        listings = [margins, Listing("", about=[FORETOLD, *shift_words(scenes)]), beyond]
        sheet = replace(sheet, listings=listings)
        if picture_room(sheet, stamp) >= LOWEST:
            break
    return sheet


def _beyond(happenings: Sequence[Happening], most: int, own: str, numbers: Mapping[datetime, str]) -> Listing:
    """Return the newest of what went beyond limits, each with the number of its line in the picture."""
    newest = [[numbers.get(one.at, "–"), f"{one.at:%Y-%m-%d %H:%M}", one.words] for one in happenings[:most]]
    more = f"The newest {most} of {len(happenings)}. " if len(happenings) > most else ""
    return Listing(BEYOND, ("Line", "Run", "What was seen"), (0.07, 0.2, 0.73), newest, [f"{more}{own}"])


def own_words(own: EngineAdvisory) -> str:
    """Return how often the operator's own limits were passed, in a sentence."""
    recent = sum(count.recent for count in own.counts)
    times = count_text(len(own.passed), "time")
    said = f"The operator's own limits: passed {times}, {recent} in the last {RECENT_D} days."
    return f"{said} They are tighter than the maker's and call for nothing."


def _soonest(scene: TrendScene) -> float:
    """Return in how many days a margin may be used up at the soonest; of what is not foretold, endless."""
    days = scene.trend.days
    return inf if days is None or days.soonest is None else days.soonest


def _drawn(scene: TrendScene, height: float) -> PictureFlowable:
    high = min(max(height, LOWEST), HIGHEST) * PRINTED / TEXT_WIDTH
    return PictureFlowable(trend_picture(scene, width=PRINTED, height=high), TEXT_WIDTH)
