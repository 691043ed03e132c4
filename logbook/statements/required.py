"""What each kind of entry has to hold before it may be signed, and what stands against approval, said one by one."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Final

from logbook.statements.coverage import Hands, hands_faults
from logbook.statements.elements import EASA, PLACES, REFUSALS, US, US_PROGRAMME
from logbook.statements.words import OverhaulFacts, word_faults

SAY_NONE: Final = "Say which, or say that there are none."
# How a deferred item is dealt with at the next inspection (91.405(c)), and which of these settle it.
REPAIRED, REPLACED, REMOVED, LOOKED_AT, NOT_DONE = "repaired", "replaced", "removed", "inspected", "not_done"
ANSWERS: Final = {
    REPAIRED: "Repaired",
    REPLACED: "Replaced",
    REMOVED: "Removed",
    LOOKED_AT: "Inspected, and deferred again",
    NOT_DONE: "Not dealt with",
}
SETTLING: Final = frozenset({REPAIRED, REPLACED, REMOVED})


def overdue_words(overdue: Sequence[str]) -> str:
    """Return what is asked where something overdue stands against a release.

    Parameters
    ----------
    overdue : sequence of str
        What is overdue, in words.

    Returns
    -------
    str
        A sentence that names each.

    References
    ----------
    145.A.50(a).
    """
    return f"{'; '.join(overdue)}. Settle it first, or say why it may stand."


@dataclass(frozen=True)
class Reference:
    """Data that work was done to: document, revision, section or task."""

    document: str = ""
    revision: str = ""
    section: str = ""

    @property
    def words(self) -> str:
        """Return it in one line, "" where nothing is named."""
        revision = f"revision {self.revision.strip()}" if self.revision.strip() else ""
        return ", ".join(part for part in (self.document.strip(), revision, self.section.strip()) if part)


@dataclass(frozen=True)
class Discrepancy:
    """A line of a discrepancy list: what is wrong and what it does not meet.

    A deferred line is inoperative and permitted: ``deferral`` is on which basis, ``placard_by`` and ``placard_on``
    who marked it and when.
    """

    text: str
    basis: str
    is_deferred: bool = False
    deferral: str = ""
    placard_by: str = ""
    placard_on: str = ""
    due_on: date | None = None


@dataclass(frozen=True)
class WorkFacts:
    """Maintenance as it is to be signed; what is None was not said, and an empty text says that there is none."""

    description: str = ""
    data: Reference = Reference()
    completed_on: date | None = None
    hands: Hands = Hands()
    is_major: bool | None = None
    form_reference: str = ""
    limits_changed: bool = False
    limits_reference: str = ""
    flight_check: str = ""
    needs_flight_check: bool = False
    limitations: str | None = None
    incomplete: str | None = None
    agreed_with: str = ""
    is_required_item: bool = False
    has_done_before: bool = False
    overhaul: OverhaulFacts = OverhaulFacts()
    overdue: tuple[str, ...] = ()
    justification: str = ""


@dataclass(frozen=True)
class InspectionFacts:
    """An inspection as it is to be signed: its type and extent, the time in service, how it ended, what was found.

    ``deferred`` holds what was deferred before by its text, with the answer to each, None where none was given.
    """

    kind: str = ""
    extent: str = ""
    completed_on: date | None = None
    hours_s: int | None = None
    is_approved: bool | None = None
    discrepancies: Sequence[Discrepancy] = ()
    list_date: date | None = None
    recipient: str = ""
    deferred: Mapping[str, str | None] = field(default_factory=dict)
    has_checklist: bool = False
    run_after: str = ""
    items: Mapping[str, str] = field(default_factory=dict)


def _day_fault(completed: date | None, today: date) -> dict[str, str]:
    if completed is None:
        return {"completed_on": "Give the day on which it was completed."}
    if completed > today:
        return {"completed_on": "That day is still to come. Give the day on which it was completed."}
    return {}


def work_faults(facts: WorkFacts, *, ruleset: str, signer: str, today: date) -> dict[str, str]:
    """Return what stands against approving maintenance, by field.

    Parameters
    ----------
    facts : WorkFacts
        What is said of it.
    ruleset : str
        The operator's rules.
    signer : str
        Name of who signs.
    today : date
        The day of signing.

    Returns
    -------
    dict
        Field to sentence; empty where it may be signed.

    References
    ----------
    14 CFR 43.9(a), 43.5, 43.2, 43.3(d), 65.81(a), 91.407(b), 135.429(c); AMC M.A.801(f) 4, 145.A.50(a), (c), (e).
    """
    faults = _day_fault(facts.completed_on, today)
    if not (facts.description.strip() or facts.data.document.strip()):
        faults["description"] = "Describe the work, or name the data that describe it."
    if facts.data.document.strip() and not facts.data.revision.strip():
        faults["data_revision"] = "Name the revision of the document worked to."
    faults |= hands_faults(signer, facts.hands, is_required_item=facts.is_required_item)
    faults |= approval_faults(facts, ruleset)
    said = word_faults(facts.description, facts.overhaul)
    return faults | ({"description": " ".join(said.values())} if said else {})


def approval_faults(facts: WorkFacts, ruleset: str) -> dict[str, str]:
    """Return what blocks approval for return to service or a release, each said.

    Parameters
    ----------
    facts : WorkFacts
        What is said of the work.
    ruleset : str
        The operator's rules.

    Returns
    -------
    dict
        Field to sentence.

    References
    ----------
    14 CFR 43.5(b) and (c), 43.9(d), 65.81(a), 91.407(b); AMC M.A.801(f) 4, 145.A.50(a), (c) and (e).
    """
    asked = (
        (
            facts.is_major,
            "form_reference",
            "A major repair or alteration needs its form first; give the form's reference.",
        ),
        (
            facts.limits_changed,
            "limits_reference",
            "Operating limits or flight data change; name the revision that says so.",
        ),
        (
            facts.needs_flight_check,
            "flight_check",
            "Flight may be affected; give the check flight's result, or why a ground test is enough.",
        ),
        (facts.overdue, "justification", overdue_words(facts.overdue)),
    )
    faults = {name: words for applies, name, words in asked if applies and not getattr(facts, name).strip()}
    if facts.is_major is None:
        faults["is_major"] = "Say whether it is a major repair or alteration."
    if ruleset in (US, US_PROGRAMME) and not facts.has_done_before:
        faults["has_done_before"] = "Say that you did such work before, or are supervised by somebody who did."
    return faults | _stated(facts, ruleset)


def _stated(facts: WorkFacts, ruleset: str) -> dict[str, str]:
    faults = {}
    if facts.limitations is None:
        faults["limitations"] = f"Limitations to airworthiness or operation: {SAY_NONE}"
    if facts.incomplete is None:
        faults["incomplete"] = f"Work left incomplete: {SAY_NONE}"
    if facts.incomplete and ruleset == EASA and not facts.agreed_with.strip():
        faults["agreed_with"] = "Name who is responsible for the aircraft and agreed that it is left incomplete."
    return faults


def inspection_faults(facts: InspectionFacts, *, outcome: str, today: date) -> dict[str, str]:
    """Return what stands against signing an inspection, by field.

    Parameters
    ----------
    facts : InspectionFacts
        What is said of it.
    outcome : str
        Which statement it ends with.
    today : date
        The day of signing.

    Returns
    -------
    dict
        Field to sentence; empty where it may be signed.

    References
    ----------
    14 CFR 43.11(a)(1) to (7) and (b), 43.15(c), 91.405(c).
    """
    faults = _day_fault(facts.completed_on, today)
    faults |= _blank(facts, {"kind": "Say which inspection it was.", "extent": "Say briefly how far it went."})
    if facts.hours_s is None:
        faults["hours"] = "Give the total time in service."
    if facts.is_approved is None:
        faults["outcome"] = "Say whether it is approved or not approved."
    faults |= {name: f"Name this: {PLACES[name]}." for name, said in facts.items.items() if not said.strip()}
    faults |= _deferred_faults(facts, is_approved=bool(facts.is_approved))
    for number, line in enumerate(facts.discrepancies, 1):
        faults |= {f"discrepancy_{number}_{name}": words for name, words in discrepancy_faults(line).items()}
    return faults | (_refusal_faults(facts) if outcome in REFUSALS else _approved_faults(facts))


def _blank(facts: Any, words: Mapping[str, str]) -> dict[str, str]:
    return {name: sentence for name, sentence in words.items() if not getattr(facts, name).strip()}


def _refusal_faults(facts: InspectionFacts) -> dict[str, str]:
    faults = _blank(facts, {"recipient": "Say to whom the list of discrepancies was given."})
    if not any(not line.is_deferred for line in facts.discrepancies):
        faults["discrepancies"] = "List at least one discrepancy that stands against approval."
    if facts.list_date is None:
        faults["list_date"] = "Give the date of the list of discrepancies."
    return faults


def _approved_faults(facts: InspectionFacts) -> dict[str, str]:
    faults = {}
    standing = [line.text for line in facts.discrepancies if not line.is_deferred]
    if standing:
        faults["discrepancies"] = f"Stands against approval: {'; '.join(standing)}."
    if not facts.has_checklist:
        faults["has_checklist"] = "Say that the inspection was held to its checklist."
    if not facts.run_after.strip():
        faults["run_after"] = "Give the run after it, with what it showed, or why none was needed."
    return faults


def _deferred_faults(facts: InspectionFacts, *, is_approved: bool) -> dict[str, str]:
    unanswered = [text for text, answer in facts.deferred.items() if answer not in ANSWERS]
    if unanswered:
        return {"deferred": f"Deferred before, so dealt with now: {'; '.join(unanswered)}."}
    left = [text for text, answer in facts.deferred.items() if answer == NOT_DONE]
    return {"deferred": f"Deferred before and not dealt with: {'; '.join(left)}."} if left and is_approved else {}


def discrepancy_faults(line: Discrepancy) -> dict[str, str]:
    """Return what a line of a discrepancy list lacks.

    Parameters
    ----------
    line : Discrepancy
        The line.

    Returns
    -------
    dict
        Field to sentence.

    References
    ----------
    14 CFR 43.11(b), 91.213(d)(2).
    """
    faults = _blank(line, {"text": "Say what is wrong.", "basis": "Say which requirement it does not meet."})
    if line.is_deferred:
        needed = {"deferral": "Name the basis on which it may stay inoperative.", "placard_by": "Say who placarded it."}
        faults |= _blank(line, needed)
        if not line.placard_on:
            faults["placard_on"] = "Give the day on which it was placarded."
    return faults
