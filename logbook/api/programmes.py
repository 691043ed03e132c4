"""The inspection programme of an engine's aircraft, by REST: read; it is selected and signed on the screen."""

from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from engines.models import ProgrammeSelection
from engines.queries import engine_for
from logbook.api.base import person_of
from logbook.programmes import Gate, gate_of, selection_list

MOST = 50  # selections told, the newest first


class ProgrammeSelectionSerializer(serializers.ModelSerializer):
    """One selection, with the entry by which it was signed; null where an earlier owner selected it."""

    by = serializers.StringRelatedField()
    entry = serializers.SerializerMethodField()
    is_corrected = serializers.SerializerMethodField()

    class Meta:
        model = ProgrammeSelection
        fields = [
            *("id", "aircraft", "kind", "option", "title", "revision", "responsible", "from_on", "by", "at"),
            *("entry", "is_corrected"),
        ]

    @extend_schema_field({"type": "integer", "nullable": True})
    def get_entry(self, row: ProgrammeSelection) -> int | None:
        signed = getattr(row, "signed", None)
        return signed.entry.number if signed else None

    def get_is_corrected(self, row: ProgrammeSelection) -> bool:
        return hasattr(row, "replaced_by")


class ProgrammeSerializer(serializers.Serializer):
    """What stands, how the replacement times of life-limited parts stand, what is against it, and all selections."""

    standing = ProgrammeSelectionSerializer(source="selection", allow_null=True)
    life_limits = serializers.IntegerField(source="lives")
    past = serializers.ListField(source="passed", child=serializers.CharField())
    against = serializers.ListField(child=serializers.CharField())
    selections = serializers.SerializerMethodField()

    @extend_schema_field(ProgrammeSelectionSerializer(many=True))
    def get_selections(self, gate: Gate) -> object:
        return ProgrammeSelectionSerializer(self.context["selections"], many=True).data


class EngineProgrammeView(APIView):
    """Under which programme the aircraft of one engine is inspected."""

    @extend_schema(
        operation_id="engines_programme_retrieve",
        summary="Tell under which inspection programme an engine's aircraft is inspected",
        responses=ProgrammeSerializer,
    )
    def get(self, request: Request, pk: int) -> Response:
        engine = engine_for(person_of(request), pk)
        context = {"selections": selection_list(engine)[:MOST]}
        return Response(ProgrammeSerializer(gate_of(engine), context=context).data)
