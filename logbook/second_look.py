"""The second look at a required inspection item: by somebody on the list of who may inspect what, where one is kept."""

from typing import Any

from django.db import transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import Case, Exists, Func, JSONField, OuterRef, Q, QuerySet, Subquery, When
from django.db.models.functions import JSONObject
from django.db.models.sql.compiler import SQLCompiler
from django.utils import timezone

from engines.errors import DomainError
from inspections import actions
from inspections.models import Inspection, Release
from inspections.queries import inspection_list
from inspections.states import NOT_APPROVED
from logbook.access import DIRECTOR, may
from logbook.desk import Authorization
from logbook.models import Person
from logbook.photos.queries import photos_told
from logbook.queries import authorizations_on


def lines_covering(inspection: Inspection) -> QuerySet[Authorization]:
    """Return the lines of today that let somebody inspect this, by name."""
    kept = authorizations_on(timezone.localdate()).filter(operator=inspection.operator_id)
    of_type = Q(engine_type=None) | Q(engine_type=inspection.engine.engine_type_id)
    return kept.filter(of_type, Q(only="") | Q(only=inspection.summary))


class Together(Func):
    """The rows of a subquery as one JSON array; null or empty where there is none."""

    output_field = JSONField()
    function = "json_group_array"
    arity = 1

    def as_postgresql(self, compiler: SQLCompiler, connection: BaseDatabaseWrapper, **context: Any) -> Any:
        """Return the SQL for PostgreSQL."""
        return self.as_sql(compiler, connection, function="jsonb_agg", **context)


def with_list(inspections: QuerySet[Inspection]) -> QuerySet[Inspection]:
    """Return inspections, each with the operator's list of who may inspect what, ``listed``, in the same query."""
    holds = Exists(authorizations_on(timezone.localdate()).filter(pk=OuterRef("pk")))
    of_type = Q(engine_type=None) | Q(engine_type=OuterRef("engine__engine_type"))
    covers = Case(When(Q(holds) & of_type & (Q(only="") | Q(only=OuterRef("summary"))), then=1), default=0)
    told = {"pk": "pk", "name": "name", "is_active": "person__is_active", "role": "person__role", "covers": covers}
    lines = Authorization.objects.filter(operator=OuterRef("operator")).order_by()
    return inspections.annotate(listed=Subquery(lines.values(rows=Together(JSONObject(**told)))))


def inspection_shown(user: Person, pk: int) -> Inspection:
    """Return one inspection with its photos and who may look twice; Inspection.DoesNotExist where it is not theirs."""
    found = with_list(inspection_list(user).select_related("run__engine", "second_by"))
    return found.annotate(photos_told=photos_told("inspection")).get(pk=pk)


def lookers(inspection: Inspection) -> list[str] | None:
    """Return the names of those who may take the second look today; None where the operator never kept a list."""
    if not hasattr(inspection, "listed"):
        inspection = with_list(Inspection.objects.filter(pk=inspection.pk)).get()
    kept = sorted(getattr(inspection, "listed", None) or [], key=lambda line: (line["name"], line["pk"]))
    able = [line["name"] for line in kept if line["is_active"] and line["covers"] and _may_look(line["role"])]
    return list(dict.fromkeys(able)) if kept else None


def _may_look(role: str) -> bool:
    return may(role, "inspection.second")


@transaction.atomic
def second_look(*, inspection: Inspection, by: Person) -> Inspection:
    """Record the second look at a required inspection item.

    Raises DomainError "not_on_list" where the operator keeps a list of who may inspect what, and no line of today
    names the person for this inspection, "refusal_stands" where another inspector refused it and nothing was done
    since, besides what the act itself raises.
    """
    if inspection.required_inspection_item and not lines_covering(inspection).filter(person=by).exists():
        names = lookers(inspection)
        if names is not None:
            raise DomainError(off_list_words(inspection, by, names), code="not_on_list")
    refusal = refusal_standing(inspection)
    if refusal is not None and by.pk != refusal.signed_by_id and by.role != DIRECTOR:
        raise DomainError(refusal_words(refusal), code="refusal_stands")
    return actions.inspection_second(inspection=inspection, by=by)


def refusal_standing(inspection: Inspection) -> Release | None:
    """Return the refusal of a required item that stands: an inspector's, with no corrective action recorded since.

    Whoever refused may look again, and the director, who is over maintenance and inspection; nobody else overrules
    an inspector (14 CFR 135.427(b)).
    """
    last = inspection.releases.filter(corrected_by=None).select_related("signed_by").last()
    if not inspection.required_inspection_item or last is None or last.outcome != NOT_APPROVED:
        return None
    is_reworked = inspection.actions.filter(recorded_at__gt=last.signed_at).exists()
    return None if is_reworked or not _may_look(last.signed_by.role) else last


def refusal_words(refusal: Release) -> str:
    """Return why nobody else may take the second look yet."""
    on = f"{timezone.localtime(refusal.signed_at):%Y-%m-%d}"
    who = f"only {refusal.signed_name} or the director of maintenance may look again"
    refused = f"{refusal.signed_name} did not approve it on {on}, and no corrective action was recorded since."
    return f"{refused} Record what was done first; as it is, {who}."


def off_list_words(inspection: Inspection, by: Person, names: list[str]) -> str:
    """Return why somebody may not take the second look, and who may."""
    refused = f"The list of who may inspect what has no line of today that lets {by} inspect “{inspection.summary}”"
    kind = f"{refused} on {inspection.engine.engine_type}."
    who = f"It lets {', '.join(names)}." if names else "It lets nobody."
    return f"{kind} {who} The director of maintenance keeps the list."
