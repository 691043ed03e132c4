"""What a list of inspections can be narrowed by; screens and REST ask the same."""

from typing import ClassVar

import django_filters as filters
from django.db.models import QuerySet

from engines.filters import engines_seen
from inspections import states
from inspections.models import Inspection


class InspectionFilter(filters.FilterSet):
    """Narrows a list of inspections."""

    engine = filters.ModelChoiceFilter(queryset=engines_seen, label="Engine")
    state = filters.ChoiceFilter(choices=list(states.LABELS.items()), label="State")
    open = filters.BooleanFilter(method="by_open", label="Not approved yet")
    before_next_flight = filters.BooleanFilter(label="Due before the next flight")

    class Meta:
        model = Inspection
        fields: ClassVar[list[str]] = ["engine", "state", "before_next_flight"]

    def by_open(self, inspections: QuerySet[Inspection], name: str, value: bool) -> QuerySet[Inspection]:
        """Keep what is still to be settled, or what is settled."""
        if value:
            return inspections.filter(state__in=states.UNSETTLED)
        return inspections.exclude(state__in=states.UNSETTLED)
