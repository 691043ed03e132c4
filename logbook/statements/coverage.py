"""Which certificate covers which act, as data; a signer whose certificate does not is refused with the reason."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from logbook.statements.elements import (
    AUSTRALIA,
    CANADA,
    CONDITIONAL,
    EASA,
    OTHER,
    PILOT_OWNER,
    PROVISIONAL,
    RULESETS,
    US,
    US_PROGRAMME,
)

POWERPLANT, AIRFRAME, AUTHORIZATION = "powerplant", "airframe", "inspection_authorization"
REPAIR_STATION, MANUFACTURER, AIR_CARRIER = "repair_station", "manufacturer", "air_carrier"
PILOT, CERTIFYING, INDEPENDENT = "pilot", "certifying_staff", "independent_certifying_staff"
OWNER, AUTHORISED, ENGINEER, ORGANISATION = "pilot_owner", "authorised_person", "licensed_engineer", "organisation"
LOCAL: Final = "local"
# Covers no act of maintenance: it entitles to run engines, and to supervise whoever learns it.
RUNNING: Final = "running"

COVERS: Final = {
    POWERPLANT: "Mechanic, powerplant rating",
    AIRFRAME: "Mechanic, airframe rating",
    AUTHORIZATION: "Inspection authorization",
    REPAIR_STATION: "Repair station, for its ratings",
    MANUFACTURER: "Manufacturer, for its own product",
    AIR_CARRIER: "Air carrier or commercial operator, for its own aircraft",
    PILOT: "Pilot, preventive maintenance on one's own aircraft",
    CERTIFYING: "Certifying staff of an approved organisation",
    INDEPENDENT: "Independent certifying staff",
    OWNER: "Pilot-owner, within the limits of that privilege",
    AUTHORISED: "Person authorised by the owner, away from base",
    ENGINEER: "Licensed engineer",
    ORGANISATION: "Approved maintenance organisation, for its ratings",
    LOCAL: "Named by the authority whose rules the operator works to",
    RUNNING: "Running engines, and supervising a trainee who starts one",
}

MAINTENANCE, MAJOR, PREVENTIVE = "maintenance", "major", "preventive"
ANNUAL, HUNDRED_HOUR, PROGRESSIVE_KIND = "annual", "hundred_hour", "progressive"
PROGRAMME_KIND, SPECIAL = "programme", "special"
ACTS: Final = {
    MAINTENANCE: "maintenance",
    MAJOR: "a major repair or alteration",
    PREVENTIVE: "preventive maintenance",
    ANNUAL: "an annual inspection",
    HUNDRED_HOUR: "a 100-hour inspection",
    PROGRESSIVE_KIND: "a progressive inspection",
    PROGRAMME_KIND: "an inspection under a programme",
    SPECIAL: "a special inspection",
    PILOT_OWNER: "pilot-owner maintenance",
    PROVISIONAL: "a release away from base",
    CONDITIONAL: "a release on a condition",
}

_STATIONS: Final = frozenset({REPAIR_STATION, MANUFACTURER, AIR_CARRIER})
_US_WORK: Final = _STATIONS | {POWERPLANT, AUTHORIZATION}
_US_HIGHER: Final = _STATIONS | {AUTHORIZATION}
_CRS: Final = frozenset({CERTIFYING, INDEPENDENT})
_CANADA: Final = frozenset({ENGINEER, ORGANISATION})
_INSPECTIONS: Final = (ANNUAL, HUNDRED_HOUR, PROGRESSIVE_KIND, PROGRAMME_KIND, SPECIAL)

# 65.87: a powerplant rating approves powerplants, the 100-hour inspection too, but no major repair or alteration.
# 65.95: an inspection authorization approves after these, and annual and progressive inspections.
COVERED: Final[dict[str, dict[str, frozenset[str]]]] = {
    US: {
        MAINTENANCE: _US_WORK,
        PREVENTIVE: _US_WORK | {PILOT},
        MAJOR: _US_HIGHER,
        ANNUAL: _US_HIGHER - {AIR_CARRIER},
        PROGRESSIVE_KIND: _US_HIGHER - {AIR_CARRIER},
        HUNDRED_HOUR: _US_WORK,
        PROGRAMME_KIND: _US_WORK,
        SPECIAL: _US_WORK,
    },
    US_PROGRAMME: {
        MAINTENANCE: frozenset({POWERPLANT, REPAIR_STATION, AIR_CARRIER}),
        PREVENTIVE: frozenset({POWERPLANT, REPAIR_STATION, AIR_CARRIER}),
        MAJOR: frozenset({REPAIR_STATION, AIR_CARRIER}),
        **dict.fromkeys(_INSPECTIONS, frozenset({POWERPLANT, REPAIR_STATION, AIR_CARRIER})),
    },
    EASA: {
        **dict.fromkeys((MAINTENANCE, PREVENTIVE, *_INSPECTIONS), _CRS),
        MAJOR: frozenset({CERTIFYING}),
        PILOT_OWNER: frozenset({OWNER}),
        PROVISIONAL: _CRS | {AUTHORISED},
    },
    CANADA: dict.fromkeys((MAINTENANCE, PREVENTIVE, MAJOR, CONDITIONAL, *_INSPECTIONS), _CANADA),
    AUSTRALIA: dict.fromkeys((MAINTENANCE, PREVENTIVE, MAJOR, *_INSPECTIONS), frozenset({CERTIFYING, ENGINEER})),
    OTHER: dict.fromkeys((MAINTENANCE, PREVENTIVE, MAJOR, *_INSPECTIONS), frozenset({LOCAL})),
}

LOOKED_BACK: Final = timedelta(days=730)
MONTHS_NEEDED: Final = 6


@dataclass(frozen=True)
class Hands:
    """Who had a hand in some work, by name: who did it, who helped under supervision, who looked a second time."""

    performers: tuple[str, ...] = ()
    helpers: tuple[str, ...] = ()
    second: str = ""


def coverage_fault(covers: Collection[str], act: str, ruleset: str) -> str:
    """Return why a certificate does not cover an act, or "" where it does.

    Parameters
    ----------
    covers : collection of str
        Of ``COVERS``, what the certificate is entered to cover.
    act : str
        One of ``ACTS``.
    ruleset : str
        One of ``RULESETS``.

    Returns
    -------
    str
        A sentence that says what the certificate covers, and what the act needs.

    Raises
    ------
    ValueError
        If the act or the rule-set is not known.

    References
    ----------
    14 CFR 43.7, 65.85, 65.87, 65.95, 135.443(b)(3); M.A.801(b), ML.A.801(b); CAR 571.10; CASR 42.760.
    """
    if act not in ACTS or ruleset not in COVERED:
        raise ValueError(f"{act!r} under {ruleset!r} is no act that anybody signs.")
    needed = COVERED[ruleset].get(act, frozenset())
    if not needed:
        return f"{RULESETS[ruleset]} knows no {ACTS[act]}."
    if not covers:
        return "What your certificate covers is not entered; the director of maintenance enters it."
    if needed.intersection(covers):
        return ""
    has = listed(COVERS[name] for name in COVERS if name in covers)
    return f"Your certificate covers: {has}. That does not cover {ACTS[act]}, which needs: {_any_of(needed)}."


def _any_of(needed: Collection[str]) -> str:
    return " or ".join(words for name, words in COVERS.items() if name in needed)


def listed(names: Iterable[str]) -> str:
    """Return texts as one, semicolons between.

    Parameters
    ----------
    names : iterable of str
        The texts.

    Returns
    -------
    str
        The texts, or ``"none"``.
    """
    return "; ".join(names) or "none"


def hands_faults(signer: str, hands: Hands, *, is_required_item: bool) -> dict[str, str]:
    """Return what stands against a signer by what people did.

    Parameters
    ----------
    signer : str
        Name of the signer.
    hands : Hands
        Who had a hand in it.
    is_required_item : bool
        Whether it is a required inspection item.

    Returns
    -------
    dict
        Field to sentence; empty where nothing does.

    References
    ----------
    14 CFR 43.3(d) for helpers, 135.429(c) for two people, 43.9(a)(3) for who did the work; M.A.801(d).
    """
    faults = {}
    if _same(signer) in map(_same, hands.helpers):
        faults["helpers"] = f"{signer} is named as a helper, who works under somebody else and can't sign for the work."
    if not is_required_item:
        return faults
    if not hands.second:
        faults["second"] = "A required inspection item needs a second, different person to inspect it first."
    elif _same(hands.second) in {_same(signer), *map(_same, hands.performers), *map(_same, hands.helpers)}:
        faults["second"] = f"{hands.second} had a hand in the work, so somebody else has to inspect it."
    return faults


def _same(name: str) -> str:
    return " ".join(name.split()).casefold()


def experience_warning(days: Iterable[date], today: date) -> str:
    """Return a warning where little was recorded of a signer lately; it hinders nothing.

    Parameters
    ----------
    days : iterable of date
        Days of work that the person signed or performed here.
    today : date
        The day of signing.

    Returns
    -------
    str
        A sentence, or "" where work is recorded in at least six of the last 24 months.

    References
    ----------
    14 CFR 65.83: six months of relevant activity within the 24 months before.
    """
    months = {(day.year, day.month) for day in days if today - LOOKED_BACK <= day <= today}
    if len(months) >= MONTHS_NEEDED:
        return ""
    seen = f"{len(months)} of the last 24 months" if months else "none of the last 24 months"
    return f"Work of yours is recorded here in {seen}. What you did elsewhere is not known to this logbook."
