"""A run's recorded trace: sent once, judged at once, and given back as it came."""

import json
from typing import Any, cast
from uuid import UUID

from django.core.files.uploadedfile import UploadedFile
from django.db import IntegrityError
from django.http import FileResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse
from rest_framework.views import APIView

from engines.models import Run, RunTrace
from engines.queries import newest_trace, run_for
from logbook.actions import trace_enter
from logbook.api.base import AnyAccept, person_of
from logbook.api.parsers import TRACE_PARSERS
from logbook.models import Person

BINARY = "application/octet-stream"


class ChoicesField(serializers.JSONField):
    """A JSON object from channel names to words."""

    default_error_messages = {"not_words": "Write a JSON object of words, such as the one that the schema shows."}

    def to_internal_value(self, data: Any) -> dict[str, str]:
        value = super().to_internal_value(self._read(data))
        if not isinstance(value, dict) or not all(isinstance(word, str) for word in value.values()):
            self.fail("not_words")
        return cast(dict[str, str], value)

    def _read(self, data: Any) -> Any:
        try:
            return json.loads(data)
        except (ValueError, RecursionError):
            self.fail("not_words")


class TraceBody(serializers.Serializer):
    """A recorded file, and how its columns are to be read where their headers do not say."""

    file = serializers.FileField()
    columns = ChoicesField(required=False, help_text='Channel to header, for example {"itt": "T5 deg C"}.')
    units = ChoicesField(required=False, help_text='Channel to the unit in the file, for example {"itt": "degF"}.')


class MatchSerializer(serializers.Serializer):
    """A column of the file read as a channel."""

    header = serializers.CharField()
    channel = serializers.CharField()
    unit = serializers.CharField()


class IgnoredSerializer(serializers.Serializer):
    """Cells that were not numbers, or rows without a time."""

    column = serializers.CharField()
    cells = serializers.IntegerField()
    example = serializers.CharField()


class TraceSerializer(serializers.ModelSerializer):
    """What was read from a recorded file, and what was not used."""

    matches = MatchSerializer(many=True)
    unused = serializers.ListField(child=serializers.CharField())
    ignored = serializers.SerializerMethodField()
    verdict = serializers.SerializerMethodField()

    class Meta:
        model = RunTrace
        fields = [
            "run",
            "original_name",
            "original_sha256",
            "samples",
            "duration_s",
            "matches",
            "unused",
            "ignored",
            "verdict",
        ]

    @extend_schema_field(IgnoredSerializer(many=True))
    def get_ignored(self, trace: RunTrace) -> Any:
        judgement = trace.run.judgements.filter(trace=trace).last()
        return judgement.verdict["ignored"] if judgement else []

    @extend_schema_field(OpenApiTypes.URI)
    def get_verdict(self, trace: RunTrace) -> str:
        return reverse("api:run-verdict", args=[trace.run_id], request=self.context["request"])


FORM = {
    "type": "object",
    "properties": {
        "file": {"type": "string", "format": "binary"},
        "columns": {"type": "string", "description": 'A JSON object: channel to header, {"itt": "T5 deg C"}.'},
        "units": {"type": "string", "description": 'A JSON object: channel to the unit in the file, {"itt": "degF"}.'},
    },
    "required": ["file"],
}
BODIES = {
    "multipart/form-data": FORM,
    "text/csv": OpenApiTypes.BINARY,
    "application/vnd.apache.parquet": OpenApiTypes.BINARY,
    BINARY: OpenApiTypes.BINARY,
}
FOR_PLAIN_BODIES = [
    OpenApiParameter("columns", str, description="As in the form, where the file is the whole body."),
    OpenApiParameter("units", str, description="As in the form, where the file is the whole body."),
]


def trace_once(*, run: Run, file: UploadedFile, by: Person, **choices: Any) -> tuple[RunTrace, bool]:
    """Keep a trace, which may arrive twice at one moment, and return whether it was new: to the second it is not."""
    try:
        return trace_enter(run=run, file=file, name=str(file.name), by=by, **choices)
    except IntegrityError:
        return trace_enter(run=run, file=file, name=str(file.name), by=by, **choices)


class TraceView(APIView):
    """The recorded trace of one run."""

    parser_classes = TRACE_PARSERS
    content_negotiation_class = AnyAccept

    @extend_schema(
        operation_id="runs_trace_create",
        summary="Send the recorded trace of a run",
        request=BODIES,
        parameters=FOR_PLAIN_BODIES,
        responses={201: TraceSerializer, 200: OpenApiResponse(TraceSerializer, "The same bytes were sent before.")},
    )
    def post(self, request: Request, pk: UUID) -> Response:
        """Store it beside the evidence already there, and judge the run again; a bad file leaves nothing behind."""
        run = run_for(person_of(request), pk)
        sent = self._sent(request)
        file = sent.pop("file")
        trace, is_new = trace_once(run=run, file=file, by=person_of(request), **sent)
        shown = TraceSerializer(trace, context={"request": request})
        return Response(shown.data, status=201 if is_new else 200)

    def _sent(self, request: Request) -> dict[str, Any]:
        """Return the file and the choices, which stand in the form, or in the query where the file is the body."""
        form: Any = request.data
        given = {name: form.get(name, request.query_params.get(name)) for name in ("columns", "units")}
        words = {name: value for name, value in given.items() if value is not None}
        body = TraceBody(data={**words, "file": form.get("file")})
        body.is_valid(raise_exception=True)
        return dict(body.validated_data)

    @extend_schema(
        operation_id="runs_trace_retrieve",
        summary="Download the newest trace of a run as it came",
        responses={(200, BINARY): OpenApiTypes.BINARY},
    )
    def get(self, request: Request, pk: UUID) -> FileResponse:
        trace = newest_trace(run_for(person_of(request), pk))
        if trace is None:
            raise RunTrace.DoesNotExist
        return FileResponse(
            trace.original.open("rb"), as_attachment=True, filename=trace.original_name, content_type=BINARY
        )
