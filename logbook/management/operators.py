"""What commands share that work for one operator or for all."""

from django.core.management.base import CommandError

from engines.models import Operator


def operators_named(name: str) -> list[Operator]:
    """Return the operator of a name, or all of them for no name; CommandError for one that is not here."""
    if not name:
        return list(Operator.objects.order_by("pk"))
    found = list(Operator.objects.filter(name=name))
    if not found:
        known = ", ".join(Operator.objects.order_by("name").values_list("name", flat=True)) or "none"
        raise CommandError(f"No operator is called “{name}”. Known: {known}.")
    return found
