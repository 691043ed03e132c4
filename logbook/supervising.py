"""Who may supervise a trainee who starts an engine, and whether a run says so of two people."""

from datetime import date

from django.db.models import JSONField, OuterRef, QuerySet, Subquery, TextField
from django.db.models.functions import Cast, JSONObject
from django.utils import timezone

from engines.errors import DomainError
from engines.evidence import RunFacts
from engines.models import Engine
from inspections.queries import JSONList
from logbook.models import Certificate, Person
from logbook.queries import certificates_valid
from logbook.statements.coverage import COVERS, RUNNING


def supervises(person: Person, on: date) -> bool:
    """Return whether a certificate of a person covers running engines on a day."""
    return any(RUNNING in certificate.covers for certificate in certificates_valid(person, on))


def with_supervisors(engines: QuerySet[Engine]) -> QuerySet[Engine]:
    """Return engines with those of their operators who may supervise, read in the same query; for supervisors_of."""
    names = {name: f"person__{name}" for name in ("first_name", "last_name", "username")}
    told = JSONObject(pk="person", **names)
    rows = _certified().filter(person__operator=OuterRef("operator")).order_by().values("person__operator")
    listed = rows.annotate(told=JSONList(told)).values("told")
    return engines.annotate(supervisors_told=Subquery(listed, output_field=JSONField()))


def _certified() -> QuerySet[Certificate]:
    """Return the certificates in force of those who are here that cover running engines, whenever they are valid."""
    found = Certificate.objects.filter(person__is_active=True, replaced_by=None)
    return found.annotate(told_covers=Cast("covers", TextField())).filter(told_covers__contains=f'"{RUNNING}"')


def supervisors_of(engine: Engine) -> dict[str, str]:
    """Return the names of those who may supervise a start of an engine, by their numbers."""
    if not hasattr(engine, "supervisors_told"):
        engine = with_supervisors(Engine.objects.filter(pk=engine.pk)).get()
    people = {row["pk"]: Person(**row) for row in engine.supervisors_told or ()}  # type: ignore[attr-defined]
    return {str(person.pk): str(person) for person in sorted(people.values(), key=str)}


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
