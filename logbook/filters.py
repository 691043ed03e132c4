"""What a list of logbook entries can be narrowed by; screens and REST ask the same."""

from typing import ClassVar

import django_filters as filters

from engines.filters import SpanFilter, engines_seen
from logbook.models import Entry


class EntryFilter(SpanFilter):
    """Narrows a list of entries."""

    span = "completed_on"
    engine = filters.ModelChoiceFilter(queryset=engines_seen, label="Engine")
    kind = filters.ChoiceFilter(choices=Entry.Kind.choices, label="Kind")

    class Meta:
        model = Entry
        fields: ClassVar[list[str]] = ["engine", "kind"]
