"""What an inspection needs before it can end, and the statement it ends with."""

from dataclasses import dataclass
from datetime import date

from inspections import states


@dataclass(frozen=True)
class Closing:
    """How a person wants to end an inspection; nothing of it has a default that says yes."""

    outcome: str
    extent: str
    completed_on: date
    certificate_kind: str
    certificate_number: str
    signed_name: str
    given_to: str = ""


@dataclass(frozen=True)
class WorkState:
    """What has been done of an inspection so far."""

    unanswered: tuple[str, ...]
    not_done: tuple[str, ...]
    findings: int
    findings_without_action: tuple[str, ...]
    needs_second: bool
    has_second: bool
    run_on: date
    today: date


def faults_of(closing: Closing, work: WorkState) -> dict[str, str]:
    """Return what stands against ending an inspection, by field; empty where nothing does.

    Parameters
    ----------
    closing : Closing
        What the person says.
    work : WorkState
        What has been done.

    Returns
    -------
    dict
        Field to sentence.

    References
    ----------
    14 CFR 43.9(a), 43.11(a) and (b), 43.5; 135.429(c) for the second person.
    """
    faults = {}
    if closing.outcome not in (states.APPROVED, states.NOT_APPROVED):
        faults["outcome"] = "Say whether it is approved or not approved for return to service."
    if not closing.extent.strip():
        faults["extent"] = "Say briefly what was inspected and done."
    if not (closing.certificate_kind.strip() and closing.certificate_number.strip()):
        faults["certificate"] = "The kind and the number of the certificate signed under are missing."
    if not work.run_on <= closing.completed_on <= work.today:
        faults["completed_on"] = f"The day of completion lies between the run ({work.run_on}) and today ({work.today})."
    if closing.outcome == states.APPROVED:
        faults |= _faults_of_approval(work)
    if closing.outcome == states.NOT_APPROVED:
        faults |= _faults_of_refusal(closing, work)
    return faults


def _faults_of_approval(work: WorkState) -> dict[str, str]:
    faults = {}
    if work.unanswered:
        faults["steps"] = f"Not answered yet: {'; '.join(work.unanswered)}."
    elif work.not_done:
        faults["steps"] = f"Not done: {'; '.join(work.not_done)}."
    if work.findings_without_action:
        faults["findings"] = f"Without a corrective action: {'; '.join(work.findings_without_action)}."
    if work.needs_second and not work.has_second:
        faults["second"] = "A required inspection item needs a second, different person to inspect it first."
    return faults


def _faults_of_refusal(closing: Closing, work: WorkState) -> dict[str, str]:
    faults = {}
    if not work.findings:
        faults["findings"] = "List at least one discrepancy that stands against approval."
    if not closing.given_to.strip():
        faults["given_to"] = "Say to whom the list of discrepancies was given."
    return faults


def statement_of(closing: Closing, *, engine: str, inspection: str, basis: str, hours: str) -> str:
    """Return the statement that is signed; it speaks for the work described and for nothing else (43.9(a)(4)).

    Parameters
    ----------
    closing : Closing
        Outcome, day of completion, and who got the list.
    engine, inspection, basis, hours : str
        Serial, what the inspection was, what called for it, and the engine's run time. [h]

    Returns
    -------
    str
        The statement, for the outcome approved or not approved.
    """
    done = (
        f"I certify that engine {engine} was inspected on {closing.completed_on}, at {hours} h run time: "
        f"{inspection}, called for by {basis}."
    )
    if closing.outcome == states.APPROVED:
        return f"{done} In respect of the work described here it is approved for return to service."
    return (
        f"{done} A list of discrepancies dated {closing.completed_on} has been given to {closing.given_to.strip()}. "
        "It is not approved for return to service."
    )
