"""What a list of logbook entries can be narrowed by; screens and REST ask the same."""

import json
from typing import Any, ClassVar

import django_filters as filters
from django import forms
from django.db.models import Q, QuerySet, TextField
from django.db.models.fields.json import KeyTransform
from django.db.models.functions import Cast, Concat

from engines.filters import SpanFilter, engines_seen
from logbook.desk import Concern
from logbook.models import Entry, Person
from logbook.queries import signers_of

# The parts of an entry whose words are read; the verdict and its charts are data, and say the same in other parts.
READ = (
    "title",
    "engine",
    "run",
    "sentences",
    "facts",
    "evidence",
    "opened",
    "inspection",
    "steps",
    "findings",
    "actions",
    "release",
    "signed",
)
MOST_WORDS = 8
MOST_ENTRIES = 2**31 - 1


def signers_seen(request: Any) -> QuerySet[Person]:
    """Return the people whose entries whoever asks may see; none where nobody asks."""
    return signers_of(request.user) if request else Person.objects.none()


def with_words(entries: QuerySet[Entry], name: str, text: str) -> QuerySet[Entry]:
    """Return the entries in whose text every one of some words stands, upper and lower case alike."""
    written = Concat(*(Cast(KeyTransform(part, "body"), TextField()) for part in READ), output_field=TextField())
    found = entries.annotate(written=written)
    for word in text.split()[:MOST_WORDS]:
        # One database keeps letters beyond ASCII as they are, the other as JSON escapes them.
        found = found.filter(Q(written__icontains=word) | Q(written__icontains=json.dumps(word)[1:-1]))
    return found


class WholeNumberFilter(filters.Filter):
    """A whole number that a person types."""

    field_class = forms.IntegerField


class EntryFilter(SpanFilter):
    """Narrows a list of entries."""

    span = "completed_on"
    engine = filters.ModelChoiceFilter(queryset=engines_seen, label="Engine")
    serial = filters.CharFilter(field_name="engine__serial", lookup_expr="icontains", label="Serial number holds")
    number = WholeNumberFilter(
        label="Entry number",
        min_value=1,
        max_value=MOST_ENTRIES,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    person = filters.ModelChoiceFilter(field_name="signed_by", queryset=signers_seen, label="Signed by")
    kind = filters.ChoiceFilter(choices=Entry.Kind.choices, label="Kind")
    words = filters.CharFilter(method=with_words, label="Words in the text")

    class Meta:
        model = Entry
        fields: ClassVar[list[str]] = ["engine", "serial", "number", "person", "kind", "words"]


class ConcernFilter(filters.FilterSet):
    """Narrows what has to be settled."""

    kind = filters.ChoiceFilter(choices=Concern.Kind.choices, label="Kind")
    settled = filters.ChoiceFilter(choices=[("yes", "Settled"), ("all", "Both")], method="by_settled", label="Show")
    serial = filters.CharFilter(field_name="engine__serial", lookup_expr="icontains", label="Serial number holds")

    class Meta:
        model = Concern
        fields: ClassVar[list[str]] = ["kind"]

    def by_settled(self, concerns: QuerySet[Concern], name: str, value: str) -> QuerySet[Concern]:
        """Keep what is settled, or leave both."""
        return concerns.filter(settlement__isnull=False) if value == "yes" else concerns
