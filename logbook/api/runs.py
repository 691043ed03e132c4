"""Runs: recorded once however often they are sent, and what they called for."""

from dataclasses import replace
from typing import Any
from uuid import uuid4

from django.db.models import QuerySet
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.exceptions import NotFound
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse

from engines.actions import run_check
from engines.errors import DomainError
from engines.evidence import ReadingFacts, ReasonFacts, RunFacts
from engines.filters import RunFilter
from engines.latest import meter_before
from engines.models import Engine, Reading, Run, RunTrace, TypedReason
from engines.queries import engine_list, readings_turned, run_for, run_list
from engines.questions import Answer, answers_taken, questions_of
from inspections.models import Inspection
from inspections.queries import judgement_of
from logbook.api.base import RecordViewSet
from logbook.api.fields import CountField, FiniteField, MomentField, SeenField, StrictSerializer
from logbook.models import Person
from logbook.recording import body_digest, run_once

LONGEST_REMARK = 4000
LONGEST_REASON = 240
# What a question is about, by the field of the body; readings have the same names in both.
FIELD_OF = {"run_time": "run_time_s", "time_in_service": "time_in_service_s", "meter": "meter_h"}
CONVERTED = ("converted", "converted_unit", "converted_by")
TYPED = ("run_time_s", "time_in_service_s", "starts", "cycles", "partial_cycles")


@extend_schema_field(OpenApiTypes.STR)
class ColleagueField(serializers.SlugRelatedField):
    """The user code of somebody of the operator of whoever asks."""

    def __init__(self, **options: Any) -> None:
        super().__init__(slug_field="username", **options)

    def get_queryset(self) -> QuerySet[Person]:
        return Person.objects.filter(operator=self.context["request"].user.operator_id or 0)


class ReadingBody(StrictSerializer):
    """The highest value beyond a chart's limit (the lowest, for a low limit), and for how long; null: not known."""

    chart = serializers.CharField(max_length=120)
    peak = FiniteField(allow_null=True)
    seconds = FiniteField(allow_null=True, min_value=0)
    unit = serializers.CharField(
        max_length=40, default="", allow_blank=True, help_text="The chart's when empty; another by calibration or type."
    )
    remarks = serializers.CharField(max_length=240, default="", allow_blank=True)


class ReasonBody(StrictSerializer):
    """Why an unlikely figure is so all the same; given to one question about one figure."""

    field = serializers.CharField(max_length=120, help_text='The field that was asked about, for example "meter_h".')
    question = serializers.CharField(max_length=400, help_text="The question, word for word as it was asked.")
    reason = serializers.CharField(max_length=LONGEST_REASON, help_text="Kept with the run, shown to the director.")


class RunBody(StrictSerializer):
    """A run as whoever sends it states it; times in whole seconds, null where not stated."""

    id = serializers.UUIDField(required=False, help_text="Chosen by the sender, so that sending again is harmless.")
    engine = SeenField(seen=engine_list, help_text="The engine's id.")
    kind = serializers.ChoiceField(choices=Run.Kind.choices)
    started_at = MomentField()
    remarks = serializers.CharField(max_length=LONGEST_REMARK, default="", allow_blank=True)
    run_time_s = CountField(default=None, allow_null=True, help_text="Light-off to shutdown. [s]")
    time_in_service_s = CountField(default=None, allow_null=True, help_text="Surface to touchdown. [s]")
    starts = CountField(default=None, allow_null=True)
    cycles = CountField(default=None, allow_null=True)
    partial_cycles = CountField(default=None, allow_null=True, help_text="Power again without a stop between.")
    other = serializers.DictField(
        child=CountField(), default=dict, help_text="What the type counts besides, by the counter's name."
    )
    meter_h = FiniteField(default=None, allow_null=True, min_value=0, help_text="The hour meter at the end. [h]")
    starter_s = FiniteField(
        default=None, allow_null=True, min_value=0, help_text="How long the starter was engaged. [s]"
    )
    trainee = serializers.CharField(max_length=160, default="", allow_blank=True, help_text="Who made the start.")
    supervisor = ColleagueField(default=None, allow_null=True, help_text="Who supervised, by user code.")
    readings = ReadingBody(many=True, default=list)
    reasons = ReasonBody(many=True, default=list, help_text="Answers to what was asked with reason_needed.")


class ReadingSerializer(serializers.ModelSerializer):
    """A reading that a person wrote down; of one in another unit than its limit's ``converted`` is what was judged."""

    class Meta:
        model = Reading
        fields = ["chart", "peak", "seconds", "timed_seconds", "unit", *CONVERTED, "remarks"]


class RunTraceSerializer(serializers.ModelSerializer):
    """A recorded trace of a run, by name and digest."""

    class Meta:
        model = RunTrace
        fields = ["original_name", "original_sha256", "samples", "duration_s", "recorded_at"]


class ReasonSerializer(serializers.ModelSerializer):
    """What was asked about a figure, and the reason that was given."""

    class Meta:
        model = TypedReason
        fields = ["field", "value", "question", "reason"]


class OpenedSerializer(serializers.ModelSerializer):
    """An inspection that a run called for."""

    class Meta:
        model = Inspection
        fields = ["id", "number", "summary", "rule", "before_next_flight", "state"]


class RunSerializer(serializers.ModelSerializer):
    """A run: ``typed`` is what was stated, the figures beside it what counts."""

    engine_serial = serializers.CharField(source="engine.serial")
    recorded_by = serializers.StringRelatedField()
    supervisor = serializers.StringRelatedField()
    typed = serializers.SerializerMethodField()
    readings = ReadingSerializer(many=True, source="standing_readings")
    reasons = ReasonSerializer(many=True, source="standing_reasons")
    traces = RunTraceSerializer(many=True)
    inspections = OpenedSerializer(many=True)
    verdict = serializers.SerializerMethodField()

    class Meta:
        model = Run
        fields = [
            "id",
            "engine",
            "engine_serial",
            "kind",
            "started_at",
            "remarks",
            "trainee",
            "supervisor",
            "typed",
            *TYPED,
            "other",
            "readings",
            "reasons",
            "traces",
            "inspections",
            "verdict",
            "recorded_by",
            "recorded_at",
            "correction",
            "is_void",
        ]

    @extend_schema_field(
        {"type": "object", "additionalProperties": {"type": "number", "nullable": True}, "readOnly": True}
    )
    def get_typed(self, run: Run) -> dict[str, float | None]:
        return {name: getattr(run, f"typed_{name}") for name in (*TYPED, "meter_h", "starter_s")}

    @extend_schema_field(OpenApiTypes.URI)
    def get_verdict(self, run: Run) -> str:
        return reverse("api:run-verdict", args=[run.pk], request=self.context["request"])


def run_stated(stated: dict[str, Any]) -> tuple[Engine, RunFacts, list[Answer]]:
    """Return the engine, the run and the answers of a checked body; the run has its reasons as they were sent."""
    engine, sent = stated.pop("engine"), stated.pop("reasons")
    readings = tuple(ReadingFacts(**reading) for reading in stated.pop("readings"))
    typed = {f"typed_{name}": stated.pop(name) for name in (*TYPED, "meter_h", "starter_s")}
    reasons = tuple(ReasonFacts(one["field"], "", one["question"], one["reason"]) for one in sent)
    facts = RunFacts(**{"id": uuid4(), **stated}, **typed, readings=readings, reasons=reasons)
    keys = {field: key for key, field in FIELD_OF.items()}
    return engine, facts, [Answer(keys.get(one["field"], one["field"]), one["question"], one["reason"]) for one in sent]


def run_asked(*, engine: Engine, facts: RunFacts, answers: list[Answer]) -> RunFacts:
    """Return a run with the reasons for what is unlikely in it; DomainError "reason_needed" where one is missing."""
    data = run_check(engine=engine, facts=facts)
    turned = readings_turned(engine, facts, data)
    asked = questions_of(facts, data.charts, before=meter_before(engine, facts.started_at), turned=turned)
    reasons, left = answers_taken(asked, answers)
    if left:
        fields = {FIELD_OF.get(question.key, question.key): question.words for question in left}
        said = "; ".join(f"{field}: {words}" for field, words in fields.items())
        raise DomainError(f"{said} Put it right, or send a reason.", code="reason_needed", fields=fields)
    return replace(facts, reasons=reasons)


class RunViewSet(RecordViewSet):
    """Runs, their evidence and their verdicts."""

    queryset = Run.objects.none()
    serializer_class = RunSerializer
    filterset_class = RunFilter
    lookup_value_converter = "uuid"

    def get_queryset(self) -> QuerySet[Run]:
        return run_list(self.person).prefetch_related("readings", "reasons", "traces", "inspections")

    def record(self, key: Any) -> Run:
        """Return one that whoever asks may see; Run.DoesNotExist otherwise."""
        return run_for(self.person, key)

    @extend_schema(summary="List the runs, newest first")
    def list(self, request: Request) -> Response:
        context = self.get_serializer_context()
        return self.get_paginated_response(RunSerializer(self.asked_page(), many=True, context=context).data)

    @extend_schema(summary="Show a run")
    def retrieve(self, request: Request, pk: Any) -> Response:
        return self.respond(RunSerializer(self.record(pk), context=self.get_serializer_context()))

    @extend_schema(
        summary="Record a run",
        request=RunBody,
        responses={201: RunSerializer, 200: OpenApiResponse(RunSerializer, "The same body was sent before.")},
    )
    def create(self, request: Request) -> Response:
        """Judge it and open what it calls for; the same body with the same id changes nothing.

        An unlikely figure is asked about, as on the sheet: the answer is then 422 with the code `reason_needed` and,
        in `fields`, the question for each figure. Nothing is stored. Put the figure right, or send the body again with
        an answer in `reasons`; it is kept with the figure and the question.
        """
        engine, facts, answers = run_stated(self.sent(RunBody))
        digest = body_digest(facts, engine)
        if not Run.objects.filter(pk=facts.id).exists():
            facts = run_asked(engine=engine, facts=facts, answers=answers)
        is_new = run_once(engine=engine, facts=facts, by=self.person, digest=digest)
        shown = RunSerializer(self.record(facts.id), context=self.get_serializer_context())
        return self.respond(shown, 201 if is_new else 200)

    @extend_schema(summary="Show the verdict on a run", responses=OpenApiTypes.OBJECT)
    @action(detail=True, pagination_class=None, filterset_class=None)
    def verdict(self, request: Request, pk: Any) -> Response:
        """Give the same document as the command line, with the repeats counted; 404 while there is nothing to judge."""
        judgement = judgement_of(self.record(pk))
        if judgement is None:
            raise NotFound("This run is not judged: it carries neither a reading nor a trace.", code="not_judged")
        return Response(judgement.verdict)
