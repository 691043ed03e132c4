"""Under which provision an engine's aircraft is inspected, and what the kind of aircraft asks for (14 CFR 91.409)."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

SINGLE, MULTI, ROTORCRAFT = "single", "multi", "rotorcraft"
AIRCRAFT: Final = {
    SINGLE: "Single-engine turbine aeroplane",
    MULTI: "Multi-engine turboprop aeroplane",
    ROTORCRAFT: "Turbine-powered rotorcraft",
}
# Those whose replacement times must be kept, and whose programme must be selected: 14 CFR 91.409(e).
SELECTING: Final = frozenset({MULTI, ROTORCRAFT})


@dataclass(frozen=True)
class Option:
    """One way in which an aircraft may be inspected: its words, by which rule, and for which kinds of aircraft.

    ``is_named`` says that a document is the programme, and ``is_scheduled`` that the programme itself must name who
    schedules its inspections.
    """

    words: str
    rule: str
    kinds: frozenset[str]
    is_named: bool = True
    is_scheduled: bool = False

    @property
    def title(self) -> str:
        """Return its words with the rule behind them."""
        return f"{self.words} ({self.rule})"


ANY: Final = frozenset(AIRCRAFT)
SMALL: Final = frozenset({SINGLE, ROTORCRAFT})
OPTIONS: Final[dict[str, Option]] = {
    "annual": Option("Annual and 100-hour inspections", "14 CFR 91.409(a) and (b)", SMALL, is_named=False),
    "progressive": Option("Progressive inspection", "14 CFR 91.409(d)", SMALL),
    "operations": Option("Approved programme of the operations specifications", "14 CFR 91.409(c)(2)", SMALL),
    "continuous": Option(
        "Continuous airworthiness inspection programme of a carrier",
        "14 CFR 91.409(f)(1)",
        SELECTING,
        is_scheduled=True,
    ),
    "approved": Option("Approved aircraft inspection programme", "14 CFR 91.409(f)(2)", SELECTING, is_scheduled=True),
    "maker": Option(
        "Current programme that the manufacturer recommends", "14 CFR 91.409(f)(3)", SELECTING, is_scheduled=True
    ),
    "owner": Option(
        "Programme of the owner or operator, approved", "14 CFR 91.409(f)(4) and (g)", SELECTING, is_scheduled=True
    ),
    "other": Option("Approved maintenance programme", "the rules of another authority", ANY),
}


@dataclass(frozen=True)
class Selection:
    """What is selected: for which aircraft, by which option, which document in which revision, and from when.

    ``responsible`` is the name and address of who schedules the inspections of the programme.
    """

    aircraft: str
    kind: str
    option: str
    from_on: date
    title: str = ""
    revision: str = ""
    responsible: str = ""


def options_for(kind: str) -> dict[str, str]:
    """Return by which options a kind of aircraft may be inspected, in words.

    Parameters
    ----------
    kind : str
        One of ``AIRCRAFT``.

    Returns
    -------
    dict of str to str
        Titles by the names of the options; empty for a kind that is not known.
    """
    return {name: option.title for name, option in OPTIONS.items() if kind in option.kinds}


def selection_faults(said: Selection, today: date) -> dict[str, str]:
    """Return what is wrong with a selection, by the names of its fields.

    Parameters
    ----------
    said : Selection
        What is to be selected.
    today : date
        The day on which it is recorded.

    Returns
    -------
    dict of str to str
        Sentences that say what would be right; empty where nothing is wrong.

    Notes
    -----
    Which option is open to which aircraft, and that the programme names who schedules its inspections: 14 CFR 91.409(a)
    to (g).
    """
    faults = {}
    if not said.aircraft.strip():
        faults["aircraft"] = "Name the aircraft, by its registration."
    if said.kind not in AIRCRAFT:
        faults["kind"] = f"Choose the kind of aircraft: {'; '.join(AIRCRAFT.values())}."
    if said.from_on > today:
        faults["from_on"] = "That day is still to come. A selection is recorded on its day, or afterwards."
    option = OPTIONS.get(said.option)
    if option is None or ("kind" not in faults and said.kind not in option.kinds):
        faults["option"] = _open_to(said.kind)
        return faults
    return faults | _unnamed(said, option)


def _open_to(kind: str) -> str:
    if kind not in AIRCRAFT:
        return "Choose by what the aircraft is inspected."
    rules = (option.rule.removeprefix("14 CFR ") for option in OPTIONS.values() if kind in option.kinds)
    return f"{AIRCRAFT[kind]}: choose one under 14 CFR {', '.join(rules)}."


def _unnamed(said: Selection, option: Option) -> dict[str, str]:
    """Return what an option asks for and a selection leaves empty."""
    asked = {
        "title": (option.is_named, "Name the programme as its document is titled."),
        "revision": (option.is_named, "Give the revision of the programme that is in use."),
        "responsible": (
            option.is_scheduled,
            "Give the name and address of who schedules the inspections of the programme (14 CFR 91.409(f)).",
        ),
    }
    return {name: words for name, (is_asked, words) in asked.items() if is_asked and not getattr(said, name).strip()}


def shown_against(said: Selection | None, passed: Sequence[str]) -> list[str]:
    """Return what in a record stands against operating an aircraft under 14 CFR 91.409(e), in words.

    Parameters
    ----------
    said : Selection or None
        The selection that stands, None where there is none.
    passed : sequence of str
        Life-limited parts past their replacement times, each in words.

    Returns
    -------
    list of str
        One sentence for each thing; empty where nothing in the record stands against it.
    """
    missing = [] if said is not None else ["No inspection programme is selected for the aircraft of this engine."]
    return [*missing, *(f"Past its replacement time: {part}." for part in passed)]
