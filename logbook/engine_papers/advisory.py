"""The operator's own limits of an engine on paper, told apart from the maker's."""

from typing import Final

from django.utils import timezone

from engines.models import Engine
from inspections.advisory import RECENT_D, AdvisoryCount
from inspections.drawing.words import quantity, short_of
from logbook.advisories import EngineAdvisory, engine_advisory_of
from logbook.engine_papers.sheets import plain_sheet
from logbook.models import Person
from logbook.printing.engine_sheet import EngineSheet, Listing

TITLE: Final = "Operator's own limits"
APART: Final = (
    "These limits are the operator's own, tighter than the maker's. Nothing is called for by going beyond them; the "
    "maker's limits, and what they call for, stand in the entries of the runs."
)


def advisory_sheet(user: Person, engine: Engine) -> EngineSheet:
    """Return the operator's own limits of an engine, how often each was passed, and every time."""
    advisory = engine_advisory_of(user, engine, timezone.localdate())
    about = [("Limits", f"revision {advisory.revision.number}")]
    return plain_sheet(engine, TITLE, about, advisory_listings(advisory))


def advisory_listings(advisory: EngineAdvisory) -> list[Listing]:
    """Return the operator's own limits with their counts, and each time that one was passed, as tables."""
    limits = ("Operator's own limit", "Own", "Maker's", "Why", "Passed")
    passed = ("Run", "Operator's own limit", "What was seen")
    rows = [[f"{one.began:%Y-%m-%d %H:%M}", one.advised.name, one.words] for one in advisory.passed]
    return [
        Listing(TITLE, limits, (0.24, 0.12, 0.12, 0.28, 0.24), [_limit(one) for one in advisory.counts], [APART]),
        Listing("Beyond the operator's own limits, newest first", passed, (0.18, 0.24, 0.58), rows),
    ]


def _limit(count: AdvisoryCount) -> list[str]:
    unit = count.maker.unit
    own, maker = quantity(count.own.limit, unit), quantity(count.maker.limit, unit)
    return [
        f"{count.own.name}\nof {count.maker.name}",
        own,
        maker,
        count.own.reason or "not recorded",
        passed_words(count),
    ]


def passed_words(count: AdvisoryCount) -> str:
    """Return how often one of the operator's own limits was passed, and how near the maker's was come to."""
    words = f"{count.in_all} in all, {count.recent} in the last {RECENT_D} days"
    if count.since_overhaul is not None:
        words += f", {count.since_overhaul} since the overhaul"
    if count.least_margin is None:
        return words
    least = quantity(float(short_of(count.least_margin)), count.maker.unit)
    return f"{words}; nearest to the maker's limit {least} short of it"
