"""Who may supervise a trainee who starts an engine, and whether a run says so of two people."""

from datetime import date

from django.utils import timezone

from engines.errors import DomainError
from engines.evidence import RunFacts
from logbook.models import Certificate, Person
from logbook.queries import certificates_valid
from logbook.statements.coverage import COVERS, RUNNING


def supervises(person: Person, on: date) -> bool:
    """Return whether a certificate of a person covers running engines on a day."""
    return any(RUNNING in certificate.covers for certificate in certificates_valid(person, on))


def supervisors_of(operator_id: int | None) -> list[Person]:
    """Return the people of an operator with a certificate that covers running engines, whenever it is valid."""
    certified = Certificate.objects.filter(person__operator=operator_id or 0, person__is_active=True)
    rows = certified.filter(replaced_by=None).select_related("person").order_by("person__last_name", "person__pk")
    return list(dict.fromkeys(row.person for row in rows if RUNNING in row.covers))


def supervision_check(facts: RunFacts, operator_id: int | None) -> None:
    """Refuse a trainee without a supervisor, and a supervisor who may not be one.

    Raises DomainError "supervision_incomplete", "not_of_operator", "second_person_needed" and
    "supervisor_not_entitled".
    """
    if fault := _fault(facts, operator_id):
        code, field, words = fault
        raise DomainError(words, code=code, fields={field: words})


def _fault(facts: RunFacts, operator_id: int | None) -> tuple[str, str, str] | None:
    trainee, supervisor = facts.trainee.strip(), facts.supervisor
    if supervisor is None:
        words = f"{trainee} is named as a trainee: name who supervised."
        return ("supervision_incomplete", "supervisor", words) if trainee else None
    if not trainee:
        words = f"{supervisor} is named as the supervisor: name the trainee."
        return "supervision_incomplete", "trainee", words
    if supervisor.operator_id != operator_id:
        return "not_of_operator", "supervisor", f"{supervisor} is a person of another operator."
    if " ".join(trainee.split()).casefold() == str(supervisor).casefold():
        return "second_person_needed", "trainee", f"{supervisor} can't be supervised by the same person."
    on = timezone.localdate(facts.started_at)
    if not supervises(supervisor, on):
        words = f"No certificate of {supervisor} that was valid on {on} covers this: {COVERS[RUNNING]}."
        return "supervisor_not_entitled", "supervisor", words
    return None
