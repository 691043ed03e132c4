"""The words *overhauled* and *rebuilt*, which may be written only of what was done; and a record from zero time."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

# Stands in an entry for "this was overhauled": not where the text says that it was not, or speaks of the interval.
OVERHAULED: Final = re.compile(r"(?<!not )(?<!never )\boverhauled\b", re.IGNORECASE)
REBUILT: Final = re.compile(r"(?<!not )(?<!never )\b(rebuilt|re-built)\b", re.IGNORECASE)

STEPS: Final = {
    "disassembled": "disassembled",
    "cleaned": "cleaned",
    "inspected": "inspected",
    "repaired": "repaired as necessary",
    "reassembled": "reassembled",
    "tested": "tested",
}
# Who may grant a record from zero time.
MANUFACTURER, AGENCY = "manufacturer", "agency"
GRANTERS: Final = {
    MANUFACTURER: "The manufacturer of the engine",
    AGENCY: "An agency approved by the manufacturer",
}


@dataclass(frozen=True)
class OverhaulFacts:
    """What was recorded of an overhaul: the steps that were done, and to which data it was tested.

    ``new_limits`` says that it was done to the tolerances and limits of a new item, as a rebuilding is.
    """

    steps: frozenset[str] = frozenset()
    test_reference: str = ""
    new_limits: bool = False


@dataclass(frozen=True)
class ZeroTime:
    """Who rebuilt an engine to zero time and signed for it when, and what it embodies."""

    granted_by: str
    name: str
    signed_on: str
    directives: Sequence[str] | None
    bulletins: Sequence[str] | None


def word_faults(text: str, facts: OverhaulFacts) -> dict[str, str]:
    """Return what stands against the words *overhauled* and *rebuilt* in a text.

    Parameters
    ----------
    text : str
        What the entry says was done.
    facts : OverhaulFacts
        What was recorded of it.

    Returns
    -------
    dict
        ``"overhauled"`` and ``"rebuilt"`` to a sentence that names what is missing; empty where nothing is, or
        where the text has neither word.

    References
    ----------
    14 CFR 43.2(a) and (b).
    """
    faults = {}
    missing = overhaul_lacks(facts)
    if OVERHAULED.search(text) and missing:
        faults["overhauled"] = f"“Overhauled” may be written only when it is recorded as {', '.join(missing)}."
    lacking = [*missing, *([] if facts.new_limits else ["done to the tolerances and limits of a new item"])]
    if REBUILT.search(text) and lacking:
        faults["rebuilt"] = f"“Rebuilt” may be written only when it is recorded as {', '.join(lacking)}."
    return faults


def overhaul_lacks(facts: OverhaulFacts) -> list[str]:
    """Return what an overhaul still lacks before it may be called one.

    Parameters
    ----------
    facts : OverhaulFacts
        What was recorded.

    Returns
    -------
    list of str
        The steps that are not recorded, and the test's reference, in words; only when the list is empty does the
        time since overhaul begin at zero.

    References
    ----------
    14 CFR 43.2(a).
    """
    missing = [words for step, words in STEPS.items() if step not in facts.steps]
    return missing if facts.test_reference.strip() else [*missing, "tested to a named standard or data"]


def zero_time_faults(facts: ZeroTime) -> dict[str, str]:
    """Return what stands against beginning an engine's record at zero time.

    Parameters
    ----------
    facts : ZeroTime
        What is said of it; a list that is None was not given, an empty one says that there is none.

    Returns
    -------
    dict
        Field to sentence; empty where nothing does. In every other case time since new goes on.

    References
    ----------
    14 CFR 91.421(a) and (b).
    """
    faults = {}
    if facts.granted_by not in GRANTERS:
        faults["granted_by"] = "Only an engine rebuilt by its manufacturer, or an agency it approved, begins at zero."
    if not facts.name.strip():
        faults["granted_name"] = "Name who rebuilt it."
    if not facts.signed_on:
        faults["granted_on"] = "Give the day on which that was signed."
    if facts.directives is None:
        faults["directives"] = "List the airworthiness directives that it embodies, or say that there are none."
    if facts.bulletins is None:
        faults["bulletins"] = "List the service bulletins that it embodies, or say that there are none."
    return faults
