"""The second look at a required inspection item: by somebody on the list of who may inspect what, where one is kept."""

from django.db import transaction
from django.db.models import Exists, OuterRef, Q, QuerySet
from django.utils import timezone

from engines.errors import DomainError
from inspections import actions
from inspections.models import Inspection
from logbook.access import may
from logbook.desk import Authorization
from logbook.models import Person
from logbook.queries import authorizations_on


def lines_covering(inspection: Inspection) -> QuerySet[Authorization]:
    """Return the lines of today that let somebody inspect this, by name."""
    kept = authorizations_on(timezone.localdate()).filter(operator=inspection.operator_id)
    of_type = Q(engine_type=None) | Q(engine_type=inspection.engine.engine_type_id)
    return kept.filter(of_type, Q(only="") | Q(only=inspection.summary))


def lookers(inspection: Inspection) -> list[str] | None:
    """Return the names of those who may take the second look today; None where the operator never kept a list."""
    covering = Exists(lines_covering(inspection).filter(pk=OuterRef("pk")))
    lines = Authorization.objects.filter(operator=inspection.operator_id).annotate(covers=covering)
    kept = list(lines.values_list("name", "person__is_active", "person__role", "covers"))
    able = [name for name, is_active, role, covers in kept if is_active and covers and may(role, "inspection.second")]
    return list(dict.fromkeys(able)) if kept else None


@transaction.atomic
def second_look(*, inspection: Inspection, by: Person) -> Inspection:
    """Record the second look at a required inspection item.

    Raises DomainError "not_on_list" where the operator keeps a list of who may inspect what, and no line of today
    names the person for this inspection, besides what the act itself raises.
    """
    if inspection.required_inspection_item and not lines_covering(inspection).filter(person=by).exists():
        names = lookers(inspection)
        if names is not None:
            raise DomainError(off_list_words(inspection, by, names), code="not_on_list")
    return actions.inspection_second(inspection=inspection, by=by)


def off_list_words(inspection: Inspection, by: Person, names: list[str]) -> str:
    """Return why somebody may not take the second look, and who may."""
    refused = f"The list of who may inspect what has no line of today that lets {by} inspect “{inspection.summary}”"
    kind = f"{refused} on {inspection.engine.engine_type}."
    who = f"It lets {', '.join(names)}." if names else "It lets nobody."
    return f"{kind} {who} The director of maintenance keeps the list."
