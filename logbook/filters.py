"""What a list of logbook entries can be narrowed by; screens and REST ask the same."""

import json
from typing import Any, ClassVar

import django_filters as filters
from django import forms
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import Func, Q, QuerySet, TextField
from django.db.models.sql.compiler import SQLCompiler

from engines.filters import SpanFilter, engines_seen
from inspections.filters import InspectionFilter, people_seen
from logbook.access import ACTS
from logbook.desk import Concern
from logbook.ledger.answers import CURRENT, SUPERSEDED, VOID
from logbook.models import Entry, Person, Photo
from logbook.queries import signers_of

# Parts of an entry that are data or arithmetic, and say the same as others in words.
DATA = (("charts",), ("verdict",), ("worked",), ("labels",), ("signed", "text_sha256"))
# Canonical as entries are; within a text that a person wrote the quotation marks would be escaped.
HOW_VOID = '"how":"void"'
STATES = (CURRENT, SUPERSEDED, VOID)
MOST_WORDS = 8
MOST_ENTRIES = 2**31 - 1


def signers_seen(request: Any) -> QuerySet[Person]:
    """Return the people whose entries whoever asks may see; none where nobody asks."""
    return signers_of(request.user) if request else Person.objects.none()


def workers_seen(request: Any) -> QuerySet[Any]:
    """Return the people who may have an inspection, among those whom whoever asks may choose from."""
    found: QuerySet[Any] = people_seen(request).filter(role__in=ACTS["inspection.work"])
    return found


class HeldInspectionFilter(InspectionFilter):
    """Narrows a list of inspections; whoever has one is somebody whose role works on them."""

    assigned_to = filters.ModelChoiceFilter(
        queryset=workers_seen, label="Who has it", null_label="Nobody yet", null_value="nobody"
    )


class WordsOf(Func):
    """An entry's content without the parts that are data."""

    output_field = TextField()
    arity = 1

    def as_sqlite(self, compiler: SQLCompiler, connection: BaseDatabaseWrapper, **context: Any) -> Any:
        """Return the SQL for SQLite."""
        paths = ", ".join(f"'$.{'.'.join(part)}'" for part in DATA)
        template = f"json_remove(%(expressions)s, {paths})"
        return self.as_sql(compiler, connection, template=template, **context)

    def as_postgresql(self, compiler: SQLCompiler, connection: BaseDatabaseWrapper, **context: Any) -> Any:
        """Return the SQL for PostgreSQL."""
        parts = " ".join(f"#- '{{{','.join(part)}}}'" for part in DATA)
        return self.as_sql(compiler, connection, template=f"((%(expressions)s)::jsonb {parts})::text", **context)


def with_words(entries: QuerySet[Entry], name: str, text: str) -> QuerySet[Entry]:
    """Return the entries in whose text every one of some words stands, upper and lower case alike."""
    sought = [json.dumps(word, ensure_ascii=False)[1:-1] for word in text.split()[:MOST_WORDS]]
    for word in sought:
        # What has a word nowhere at all is passed over before its parts are told apart.
        entries = entries.filter(content__icontains=word)
    entries = entries.annotate(written=WordsOf("content"))
    for word in sought:
        entries = entries.filter(written__icontains=word)
    return entries


def in_state(entries: QuerySet[Entry], name: str, state: str) -> QuerySet[Entry]:
    """Return the entries that stand, or that a correction made superseded or void."""
    if state == CURRENT:
        return entries.filter(corrected_by=None)
    corrected, is_void = entries.filter(corrected_by__isnull=False), Q(corrected_by__content__contains=HOW_VOID)
    return corrected.filter(is_void if state == VOID else ~is_void)


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
    state = filters.ChoiceFilter(choices=[(name, name.capitalize()) for name in STATES], method=in_state, label="State")
    words = filters.CharFilter(method=with_words, label="Words in the text")

    class Meta:
        model = Entry
        fields: ClassVar[list[str]] = ["engine", "serial", "number", "person", "kind", "state", "words"]


class PhotoFilter(filters.FilterSet):
    """Narrows a list of photos to those of one engine, run, inspection or piece of work."""

    engine = filters.ModelChoiceFilter(queryset=engines_seen, label="Engine")
    run = filters.UUIDFilter(label="Run")
    inspection = filters.NumberFilter(label="Inspection")
    work = filters.NumberFilter(label="Work")

    class Meta:
        model = Photo
        fields: ClassVar[list[str]] = ["engine", "run", "inspection", "work"]


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
