"""The logbook's entries, as data and as paper."""

from django.db.models import QuerySet
from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from logbook.api.base import AnyAccept, RecordViewSet, person_of
from logbook.api.schema import ENTRY_STATES
from logbook.filters import EntryFilter
from logbook.ledger.answers import entry_state
from logbook.models import Entry
from logbook.press import press_for
from logbook.print_sets import entry_print_of
from logbook.printing.paper import PAPERS
from logbook.printing.sealing import sealed
from logbook.queries import entries_shown, entry_for

PDF = "application/pdf"


class EntrySerializer(serializers.ModelSerializer):
    """An entry in a list."""

    engine_serial = serializers.CharField(source="engine.serial", allow_null=True)
    signed_by = serializers.StringRelatedField()
    corrects = serializers.IntegerField(source="corrects.number", allow_null=True, default=None)
    corrected_by = serializers.IntegerField(source="corrected_by.number", allow_null=True, default=None)
    state = serializers.SerializerMethodField()

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
            "corrects",
            "corrected_by",
            "state",
        ]

    @extend_schema_field(serializers.ChoiceField(choices=ENTRY_STATES))
    def get_state(self, entry: Entry) -> str:
        """Return whether the entry stands, or what its correction made of it."""
        return entry_state(entry)


class EntryDetailSerializer(EntrySerializer):
    """An entry with all that prints, as it stood when the entry was made."""

    body = serializers.DictField()

    class Meta(EntrySerializer.Meta):
        fields = [*EntrySerializer.Meta.fields, "body"]


class EntryViewSet(RecordViewSet):
    """The logbook's entries, by number."""

    queryset = Entry.objects.none()
    serializer_class = EntrySerializer
    filterset_class = EntryFilter
    lookup_field = "number"

    def get_queryset(self) -> QuerySet[Entry]:
        return entries_shown(self.person)

    def record(self, key: int) -> Entry:
        """Return one that whoever asks may see; Entry.DoesNotExist otherwise."""
        return entry_for(self.person, key)

    @extend_schema(summary="List the entries")
    def list(self, request: Request) -> Response:
        return self.get_paginated_response(EntrySerializer(self.asked_page(), many=True).data)

    @extend_schema(summary="Show an entry", responses=EntryDetailSerializer)
    def retrieve(self, request: Request, number: int) -> Response:
        return self.respond(EntryDetailSerializer(self.record(number)))


class PaperQuery(serializers.Serializer):
    """The sheet to print on."""

    paper = serializers.ChoiceField(choices=[(name, name) for name in PAPERS], default="a4")


class EntryPrintView(APIView):
    """One entry on paper."""

    content_negotiation_class = AnyAccept

    @extend_schema(
        operation_id="entries_print",
        summary="Print an entry",
        parameters=[PaperQuery],
        responses={(200, PDF): OpenApiTypes.BINARY},
    )
    def get(self, request: Request, number: int) -> HttpResponse:
        query = PaperQuery(data=request.query_params)
        query.is_valid(raise_exception=True)
        entry = entry_for(person_of(request), number)
        press = press_for(person_of(request), query.validated_data["paper"], request.build_absolute_uri("/"))
        content = sealed(entry_print_of(person_of(request), entry.number, press), press.seal)
        name = f'attachment; filename="entry-{number}.pdf"'
        return HttpResponse(content, content_type=PDF, headers={"Content-Disposition": name})
