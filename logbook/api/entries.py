"""The logbook's entries, as data and as paper."""

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from logbook.api.base import RecordViewSet
from logbook.filters import EntryFilter
from logbook.models import Entry
from logbook.queries import entry_for, entry_list

PDF = "application/pdf"
PAPERS = ("a4", "letter")


class EntrySerializer(serializers.ModelSerializer):
    """An entry in a list."""

    engine_serial = serializers.CharField(source="engine.serial")
    signed_by = serializers.StringRelatedField()

    class Meta:
        model = Entry
        fields = [
            "number",
            "kind",
            "engine",
            "engine_serial",
            "run",
            "inspection",
            "completed_on",
            "signed_by",
            "signed_at",
        ]


class EntryDetailSerializer(EntrySerializer):
    """An entry with all that prints, as it stood when the entry was made."""

    body = serializers.DictField()

    class Meta(EntrySerializer.Meta):
        fields = [*EntrySerializer.Meta.fields, "body"]


class EntryViewSet(RecordViewSet):
    """The logbook's entries, by number."""

    queryset = Entry.objects.none()
    rows = staticmethod(entry_list)
    one = staticmethod(entry_for)
    serializer_class = EntrySerializer
    filterset_class = EntryFilter
    lookup_field = "number"

    @extend_schema(summary="List the entries")
    def list(self, request: Request) -> Response:
        return self.get_paginated_response(EntrySerializer(self.asked_page(), many=True).data)

    @extend_schema(summary="Show an entry", responses=EntryDetailSerializer)
    def retrieve(self, request: Request, number: int) -> Response:
        return self.respond(EntryDetailSerializer(self.record(number)))
