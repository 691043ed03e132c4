"""What a list of inspections can be narrowed by; screens and REST ask the same."""

from datetime import date, timedelta
from typing import Any, ClassVar

import django_filters as filters
from django.contrib.auth import get_user_model
from django.db.models import Q, QuerySet
from django.utils import timezone

from engines.filters import engines_seen
from inspections import states
from inspections.ages import BANDS, AgeBand
from inspections.models import Inspection


def people_seen(request: Any) -> QuerySet[Any]:
    """Return the people whom whoever asks may choose from: those of the same operator; none where nobody asks."""
    people = get_user_model()._default_manager.all()
    operator = getattr(request.user, "operator_id", None) if request else None
    return people.filter(operator=operator or 0).order_by("last_name", "first_name", "username")


def opened_within(band: AgeBand, today: date) -> Q:
    """Return the condition that an inspection was opened as many days before a day as a band says."""
    within = Q(opened_at__date__lte=today - timedelta(days=band.least)) if band.least else Q()
    return within if band.most is None else within & Q(opened_at__date__gte=today - timedelta(days=band.most))


class InspectionFilter(filters.FilterSet):
    """Narrows a list of inspections."""

    engine = filters.ModelChoiceFilter(queryset=engines_seen, label="Engine")
    serial = filters.CharFilter(field_name="engine__serial", lookup_expr="icontains", label="Serial number holds")
    state = filters.ChoiceFilter(choices=list(states.LABELS.items()), label="State")
    open = filters.BooleanFilter(method="by_open", label="Not approved yet")
    before_next_flight = filters.BooleanFilter(label="Due before the next flight")

    assigned_to = filters.ModelChoiceFilter(
        queryset=people_seen, label="Who has it", null_label="Nobody yet", null_value="nobody"
    )
    age = filters.ChoiceFilter(
        choices=[(band.key, band.words) for band in BANDS], method="by_age", label="Open for", empty_label="Any time"
    )

    class Meta:
        model = Inspection
        fields: ClassVar[list[str]] = ["engine", "state", "before_next_flight", "assigned_to"]

    def by_open(self, inspections: QuerySet[Inspection], name: str, value: bool) -> QuerySet[Inspection]:
        """Keep what is still to be settled, or what is settled."""
        if value:
            return inspections.filter(state__in=states.UNSETTLED)
        return inspections.exclude(state__in=states.UNSETTLED)

    def by_age(self, inspections: QuerySet[Inspection], name: str, value: str) -> QuerySet[Inspection]:
        """Keep what was opened as many days ago as a band says."""
        band = next(band for band in BANDS if band.key == value)
        return inspections.filter(opened_within(band, timezone.localdate()))
