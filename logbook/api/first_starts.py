"""First-start plans, by REST: read, opened by hand, and carried on by runs that are recorded; signed on the screen."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.pagination import PageNumberPagination
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from engines.actions import plan_open
from engines.errors import DomainError
from engines.first_starts import Trigger
from engines.models import Engine, FirstStart, FirstStartCause, FirstStartLine, Run
from engines.queries import engine_for, revision_in_force, run_list
from logbook.api.base import person_of
from logbook.api.fields import StrictSerializer
from logbook.first_start_words import steps_shown
from logbook.first_starts import StepSaid, plan_for, plan_list, step_enter

LONGEST = 240


class FirstStartCauseSerializer(serializers.ModelSerializer):
    """What asked for a plan."""

    by = serializers.StringRelatedField()

    class Meta:
        model = FirstStartCause
        fields = ["when", "text", "reason", "at", "by"]


class FirstStartLineSerializer(serializers.ModelSerializer):
    """What was recorded of a step, with its run."""

    by = serializers.StringRelatedField()
    run = serializers.PrimaryKeyRelatedField(read_only=True)

    class Meta:
        model = FirstStartLine
        fields = ["step", "ending", "is_done", "run", "remarks", "by", "at"]


class FirstStartStepSerializer(serializers.Serializer):
    """A step as it stands: done, in_turn or to_come, with the ways in which it may end."""

    name = serializers.CharField(source="rule.name")
    kind = serializers.CharField(source="rule.kind")
    state = serializers.CharField()
    watch = serializers.CharField(source="rule.watch")
    in_a_row = serializers.IntegerField(source="rule.in_a_row")
    endings = serializers.SerializerMethodField()

    @extend_schema_field({"type": "array", "items": {"type": "string"}})
    def get_endings(self, step: Any) -> list[str]:
        return [ending.name for ending in step.rule.endings]


class FirstStartSerializer(serializers.ModelSerializer):
    """A plan: what asked for it, its steps as they stand, what was recorded, and how it ended, by which entry."""

    revision = serializers.IntegerField(source="revision.number")
    causes = FirstStartCauseSerializer(many=True)
    steps = serializers.SerializerMethodField()
    lines = FirstStartLineSerializer(many=True)
    outcome = serializers.SerializerMethodField()
    entry = serializers.SerializerMethodField()

    class Meta:
        model = FirstStart
        fields = ["id", "engine", "revision", "opened_at", "causes", "steps", "lines", "outcome", "entry"]

    @extend_schema_field(FirstStartStepSerializer(many=True))
    def get_steps(self, plan: FirstStart) -> Any:
        return FirstStartStepSerializer(steps_shown(plan), many=True).data

    @extend_schema_field({"type": "string", "nullable": True})
    def get_outcome(self, plan: FirstStart) -> str | None:
        return None if plan.is_open else plan.end.outcome

    @extend_schema_field({"type": "integer", "nullable": True})
    def get_entry(self, plan: FirstStart) -> int | None:
        signed = None if plan.is_open else getattr(plan.end, "signed", None)
        return signed.entry.number if signed else None


class FirstStartBody(StrictSerializer):
    """What asks for a plan, in words, and why; ``asked`` is one of the type's triggers, or empty for another reason."""

    asked = serializers.CharField(max_length=LONGEST, default="", allow_blank=True)
    reason = serializers.CharField(max_length=LONGEST)


class FirstStartStepBody(StrictSerializer):
    """How the step in turn ended, and the run that was recorded of it; null for a check."""

    step = serializers.CharField(max_length=120)
    ending = serializers.CharField(max_length=120)
    run = serializers.UUIDField(default=None, allow_null=True)
    remarks = serializers.CharField(max_length=LONGEST, default="", allow_blank=True)


class EngineFirstStartsView(APIView):
    """The first-start plans of one engine."""

    @extend_schema(
        operation_id="engines_first_starts_list",
        summary="List the first-start plans of an engine, newest first",
        responses=FirstStartSerializer(many=True),
    )
    def get(self, request: Request, pk: int) -> Response:
        rows = plan_list(person_of(request)).filter(engine=engine_for(person_of(request), pk))
        pages = PageNumberPagination()
        shown = pages.paginate_queryset(rows, request, view=self)
        return pages.get_paginated_response(FirstStartSerializer(shown, many=True).data)

    @extend_schema(
        operation_id="engines_first_starts_create",
        summary="Open a first-start plan by hand, or begin the open one again",
        request=FirstStartBody,
        responses={201: FirstStartSerializer},
    )
    def post(self, request: Request, pk: int) -> Response:
        person = person_of(request)
        engine = engine_for(person, pk)
        body = FirstStartBody(data=request.data)
        body.is_valid(raise_exception=True)
        trigger = trigger_named(engine, body.validated_data["asked"])
        plan = plan_open(engine=engine, trigger=trigger, reason=body.validated_data["reason"], by=person)
        return Response(FirstStartSerializer(plan_for(person, plan.pk)).data, status=201)


def trigger_named(engine: Engine, words: str) -> Trigger | None:
    """Return the trigger of the engine's type that words name, None for none; DomainError "trigger_unknown"."""
    rules = revision_in_force(engine.engine_type, timezone.localdate()).data.first_start
    known = {trigger.words: trigger for trigger in rules.triggers} if rules else {}
    if words and known and words not in known:
        text = f"“{words}” is none of what the type asks a first start after: {'; '.join(known)}."
        raise DomainError(text, code="trigger_unknown", fields={"asked": text})
    return known.get(words)


class FirstStartStepsView(APIView):
    """What is recorded of the steps of a plan."""

    @extend_schema(
        operation_id="first_starts_steps_create",
        summary="Record how the step in turn ended, by a run that is recorded",
        request=FirstStartStepBody,
        responses={201: FirstStartSerializer},
    )
    def post(self, request: Request, pk: int) -> Response:
        person = person_of(request)
        plan = plan_for(person, pk)
        body = FirstStartStepBody(data=request.data)
        body.is_valid(raise_exception=True)
        sent: dict[str, Any] = body.validated_data
        said = StepSaid(sent["step"], sent["ending"], run=run_named(request, sent["run"]), remarks=sent["remarks"])
        step_enter(plan=plan, said=said, by=person)
        return Response(FirstStartSerializer(plan_for(person, plan.pk)).data, status=201)


def run_named(request: Request, key: Any) -> Run | None:
    """Return the run of a key, None for none; DomainError where the person sees no such one."""
    run = run_list(person_of(request)).filter(pk=key).first() if key else None
    if key and run is None:
        words = f"There is no run {key}."
        raise DomainError(words, code="run_not_of_step", fields={"run": words})
    return run
