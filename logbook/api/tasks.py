"""Tasks of engines: how they stand, what was done of them, and what comes due."""

from datetime import date
from typing import Any

from django.http import Http404
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.pagination import PageNumberPagination
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from engines.actions import task_add
from engines.coming_due import HORIZON_D, DueLine, due_lines
from engines.models import Engine, TaskRecord
from engines.part_queries import component_list, components_off
from engines.queries import engine_list, engines_here
from engines.standing import Standing, part_tasks_of, standings_of, with_tasks
from engines.tasks import KINDS
from logbook.api.base import person_of
from logbook.api.fields import SeenField, StrictSerializer
from logbook.api.schema import TASK_STATES

MOST_DAYS = 3660
SAID = [choice for choice in TaskRecord.Outcome.choices if choice[0] != TaskRecord.Outcome.BEGUN]


class LeftSerializer(serializers.Serializer):
    """What is left of one parameter."""

    counter = serializers.CharField(help_text='A counter\'s name, or "days".')
    due_at = serializers.SerializerMethodField(help_text="Seconds or a count since new; a day for days.")
    left = serializers.IntegerField(help_text="Seconds, a count, or days; negative where it was passed.")

    @extend_schema_field(OpenApiTypes.STR)
    def get_due_at(self, part: Any) -> str:
        return str(date.fromordinal(part.due_at)) if part.counter == "days" else str(part.due_at)


class RecordSerializer(serializers.ModelSerializer):
    """One line of what was recorded of a task."""

    used = serializers.DictField(
        source="stood", child=serializers.IntegerField(), help_text="Counters then, in seconds and counts."
    )
    by = serializers.StringRelatedField()
    entry = serializers.IntegerField(
        source="signed.entry.number", default=None, allow_null=True, help_text="Number of the signed entry; null: none."
    )

    class Meta:
        model = TaskRecord
        fields = ["outcome", "on", "used", "is_extended", "method", "reference", "remarks", "by", "at", "entry"]


class LineSerializer(RecordSerializer):
    """One line of everything that was recorded of a task, with whether it still stands."""

    is_replaced = serializers.SerializerMethodField(help_text="Another line stands in its place, by a correction.")

    class Meta(RecordSerializer.Meta):
        fields = [*RecordSerializer.Meta.fields, "is_replaced"]

    def get_is_replaced(self, line: TaskRecord) -> bool:
        return hasattr(line, "replaced_by")


class TaskSerializer(serializers.Serializer):
    """How a task of an engine stands."""

    key = serializers.CharField(help_text="By what the task is known among those of its engine.")
    name = serializers.CharField(source="task.name")
    kind = serializers.ChoiceField(source="task.kind", choices=list(KINDS.items()))
    mandatory = serializers.BooleanField(source="task.mandatory")
    number = serializers.CharField(source="task.number")
    revision = serializers.CharField(source="task.revision")
    revision_date = serializers.DateField(source="task.revision_date", allow_null=True)
    is_recurring = serializers.BooleanField(source="task.is_recurring")
    reference = serializers.CharField(source="task.reference")
    source = serializers.CharField(source="task.source")  # type: ignore[assignment]  # a key, not the field's own source
    state = serializers.ChoiceField(choices=TASK_STATES)
    last = RecordSerializer(allow_null=True)
    left = LeftSerializer(many=True)
    component = serializers.IntegerField(
        source="component.pk",
        default=None,
        allow_null=True,
        help_text="The part that it is a task of; null: the engine.",
    )


class TaskBody(StrictSerializer):
    """A task beside those of the engine's type."""

    document = serializers.JSONField(help_text="As a task stands in a type's document.")
    begins_on = serializers.DateField(help_text="From which day it applies.")
    component = SeenField(
        seen=component_list, required=False, allow_null=True, help_text="Of which part that runs with the engine."
    )


class DueSerializer(serializers.Serializer):
    """One thing that comes due; ``task`` is null for the limit of a part."""

    engine = serializers.IntegerField(
        source="engine.pk", default=None, allow_null=True, help_text="Null: its part runs with none now."
    )
    engine_serial = serializers.CharField(source="engine.serial", default=None, allow_null=True)
    task = serializers.SerializerMethodField()
    component = serializers.SerializerMethodField()
    what = serializers.CharField()
    kind = serializers.CharField()
    mandatory = serializers.BooleanField()
    state = serializers.ChoiceField(choices=TASK_STATES)
    left = LeftSerializer(many=True)
    earliest_on = serializers.DateField(allow_null=True)
    latest_on = serializers.DateField(allow_null=True, help_text="Null where no last day can be foretold.")
    assumption = serializers.CharField(help_text="The use by which it was foretold, in words.")

    def get_task(self, line: DueLine) -> str | None:
        return line.key or None

    def get_component(self, line: DueLine) -> int | None:
        return line.component.pk if line.component else None


def engine_asked(request: Request, pk: int) -> Engine:
    """Return an engine with its tasks; Engine.DoesNotExist where whoever asks may not see it."""
    engine: Engine = with_tasks(engine_list(person_of(request))).get(pk=pk)
    return engine


def standing_asked(request: Request, pk: int, key: str) -> Standing:
    """Return how a task of an engine stands; 404 where there is no such task."""
    for standing in standings_of([engine_asked(request, pk)])[pk]:
        if standing.key == key:
            return standing
    raise Http404


class TaskListView(APIView):
    """The tasks of one engine."""

    @extend_schema(
        operation_id="engines_tasks_list", summary="List the tasks of an engine", responses=TaskSerializer(many=True)
    )
    def get(self, request: Request, pk: int) -> Response:
        return Response(TaskSerializer(standings_of([engine_asked(request, pk)])[pk], many=True).data)

    @extend_schema(
        operation_id="engines_tasks_create",
        summary="Add a directive, a bulletin or another task to an engine",
        request=TaskBody,
        responses={201: TaskSerializer},
    )
    def post(self, request: Request, pk: int) -> Response:
        engine = engine_asked(request, pk)
        body = TaskBody(data=request.data, context={"request": request})
        body.is_valid(raise_exception=True)
        task = task_add(engine=engine, by=person_of(request), **body.validated_data)
        return Response(TaskSerializer(standing_asked(request, pk, str(task.pk))).data, status=201)


class TaskRecordView(APIView):
    """What was recorded of one task of an engine; it is recorded on the screen, where the entry is read and signed."""

    @extend_schema(
        operation_id="engines_tasks_records_list",
        summary="List what was recorded of a task, the newest first",
        responses=LineSerializer(many=True),
    )
    def get(self, request: Request, pk: int, key: str) -> Response:
        standing = standing_asked(request, pk, key)
        return Response(LineSerializer(standing.lines.select_related("signed__entry"), many=True).data)


class DueView(APIView):
    """What comes due on all engines."""

    @extend_schema(
        operation_id="due_list",
        summary="List what is overdue or may be reached within some days, overdue first",
        parameters=[
            OpenApiParameter("days", int, description=f"Within how many days; {HORIZON_D} where it is not said.")
        ],
        responses=DueSerializer(many=True),
    )
    def get(self, request: Request) -> Response:
        days = serializers.IntegerField(min_value=0, max_value=MOST_DAYS).run_validation(
            request.query_params.get("days", HORIZON_D)
        )
        person = person_of(request)
        off = part_tasks_of(components_off(component_list(person)))
        lines = [line for line in due_lines(with_tasks(engines_here(person)), off=off) if line.is_within(days)]
        pages = PageNumberPagination()
        shown = pages.paginate_queryset(lines, request, view=self)
        return pages.get_paginated_response(DueSerializer(shown, many=True).data)
