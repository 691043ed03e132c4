"""What lists of engines, runs and components can be narrowed by; screens and REST ask the same."""

from typing import Any, ClassVar, Final

import django_filters as filters
from django.db.models import QuerySet

from engines.models import Component, Engine, EngineType, Run
from engines.queries import engine_list, engine_type_list

SHOWN: Final = [("gone", "Handed over"), ("all", "Both")]


def engines_seen(request: Any) -> QuerySet[Engine]:
    """Return the engines that whoever asks may choose from; none where nobody asks."""
    return engine_list(request.user) if request else Engine.objects.none()


def engine_types_seen(request: Any) -> QuerySet[EngineType]:
    """Return the engine types that whoever asks may choose from; none where nobody asks."""
    return engine_type_list(request.user) if request else EngineType.objects.none()


class SpanFilter(filters.FilterSet):
    """Narrows to a span of days, both included, under the words "from" and "to"."""

    span: ClassVar[str] = ""

    @classmethod
    def get_filters(cls) -> dict[str, Any]:
        # "from" cannot be the name of a class attribute.
        found = super().get_filters()
        if cls.span:
            found["from"] = filters.DateFilter(field_name=cls.span, lookup_expr="gte", label="From")
            found["to"] = filters.DateFilter(field_name=cls.span, lookup_expr="lte", label="To")
        return found


class EngineFilter(filters.FilterSet):
    """Narrows a list of engines."""

    engine_type = filters.ModelChoiceFilter(queryset=engine_types_seen, label="Engine type")
    serial = filters.CharFilter(lookup_expr="icontains", label="Serial number holds")
    show = filters.ChoiceFilter(choices=SHOWN, label="Show", method="by_owner")

    class Meta:
        model = Engine
        fields: ClassVar[list[str]] = ["engine_type", "serial", "show"]

    def by_owner(self, engines: QuerySet[Engine], name: str, value: str) -> QuerySet[Engine]:
        """Keep those that were handed over to another owner, or leave both."""
        return engines.filter(left_at__isnull=False) if value == "gone" else engines


class RunFilter(SpanFilter):
    """Narrows a list of runs."""

    span = "started_at__date"
    engine = filters.ModelChoiceFilter(queryset=engines_seen, label="Engine")
    kind = filters.ChoiceFilter(choices=Run.Kind.choices, label="Kind")

    class Meta:
        model = Run
        fields: ClassVar[list[str]] = ["engine", "kind"]


class ComponentFilter(filters.FilterSet):
    """Narrows a list of components."""

    part_number = filters.CharFilter(lookup_expr="icontains", label="Part number holds")
    serial = filters.CharFilter(lookup_expr="icontains", label="Serial number holds")

    class Meta:
        model = Component
        fields: ClassVar[list[str]] = ["part_number", "serial"]
