"""Inspections: what is open, and the work recorded on them. Signing is done on the screen, where the person is."""

from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inspections.actions import action_add, cause_set, finding_add, inspection_begin, note_add, step_answer
from inspections.models import CorrectiveAction, Finding, Inspection, InspectionNote, Release, Step
from inspections.queries import inspection_for, inspection_list
from logbook.api.base import RecordViewSet
from logbook.api.fields import CountField, StrictSerializer
from logbook.filters import HeldInspectionFilter
from logbook.second_look import second_look

LONGEST_TEXT = 4000
ONE_INSPECTION = ("steps", "findings", "actions", "releases", "notes")


class StepSerializer(serializers.ModelSerializer):
    """One step and what a person said of it."""

    answered_by = serializers.StringRelatedField()

    class Meta:
        model = Step
        fields = ["position", "text", "answer", "reason", "answered_by", "answered_at"]


class FindingSerializer(serializers.ModelSerializer):
    """A discrepancy found."""

    recorded_by = serializers.StringRelatedField()

    class Meta:
        model = Finding
        fields = ["id", "text", "recorded_by", "recorded_at"]


class NoteSerializer(serializers.ModelSerializer):
    """A note beside the inspection; no part of what is signed."""

    written_by = serializers.StringRelatedField()

    class Meta:
        model = InspectionNote
        fields = ["id", "text", "written_by", "written_at"]


class CorrectiveActionSerializer(serializers.ModelSerializer):
    """What was done, and to which data."""

    performed_by = serializers.StringRelatedField()

    class Meta:
        model = CorrectiveAction
        fields = ["id", "finding", "description", "data_reference", "completed_on", "performed_by", "recorded_at"]


class ReleaseSerializer(serializers.ModelSerializer):
    """How the inspection ended, and who signed."""

    class Meta:
        model = Release
        fields = [
            "outcome",
            "extent",
            "statement",
            "completed_on",
            "signed_name",
            "certificate_kind",
            "certificate_number",
            "second_name",
            "given_to",
            "signed_at",
        ]


class InspectionSerializer(serializers.ModelSerializer):
    """An inspection in a list."""

    engine_serial = serializers.CharField(source="engine.serial")

    class Meta:
        model = Inspection
        fields = [
            "id",
            "number",
            "engine",
            "engine_serial",
            "run",
            "chart",
            "rule",
            "summary",
            "reference",
            "source",
            "before_next_flight",
            "required_inspection_item",
            "state",
            "cause",
            "cause_text",
            "opened_at",
        ]


class InspectionDetailSerializer(InspectionSerializer):
    """An inspection with all that was recorded on it."""

    assigned_to = serializers.StringRelatedField()
    second_by = serializers.StringRelatedField()
    steps = StepSerializer(many=True)
    findings = FindingSerializer(many=True)
    actions = CorrectiveActionSerializer(many=True)
    releases = ReleaseSerializer(many=True)
    notes = NoteSerializer(many=True)

    class Meta(InspectionSerializer.Meta):
        fields = [*InspectionSerializer.Meta.fields, "assigned_to", "second_by", "second_at", *ONE_INSPECTION]


class AnswerBody(StrictSerializer):
    """What a person says of a step; a reason is needed unless it is done."""

    answer = serializers.ChoiceField(choices=Step.Answer.choices)
    reason = serializers.CharField(max_length=240, default="", allow_blank=True)


class FindingBody(StrictSerializer):
    """A discrepancy found."""

    text = serializers.CharField(max_length=LONGEST_TEXT)


class NoteBody(StrictSerializer):
    """A note beside the inspection."""

    text = serializers.CharField(max_length=LONGEST_TEXT)


class CorrectiveActionBody(StrictSerializer):
    """What was done, to which data, and when it was completed."""

    description = serializers.CharField(max_length=LONGEST_TEXT)
    data_reference = serializers.CharField(max_length=240, help_text="Document, revision and section worked to.")
    completed_on = serializers.DateField()
    finding = CountField(required=False, allow_null=True, help_text="The id of the finding that it puts right.")


class CauseBody(StrictSerializer):
    """How far the cause of the event is known."""

    cause = serializers.ChoiceField(choices=Inspection.Cause.choices)
    text = serializers.CharField(max_length=LONGEST_TEXT, default="", allow_blank=True)


class InspectionViewSet(RecordViewSet):
    """Inspections and the work on them. They are closed on the screen, where the person signs, and not here."""

    queryset = Inspection.objects.none()
    serializer_class = InspectionSerializer
    filterset_class = HeldInspectionFilter

    def shown(self, pk: int, status: int = 200) -> Response:
        """Return the inspection as it stands now."""
        return self.respond(InspectionDetailSerializer(self.record(pk)), status)

    def get_queryset(self) -> QuerySet[Inspection]:
        return inspection_list(self.person)

    def record(self, key: int) -> Inspection:
        """Return one that whoever asks may see; Inspection.DoesNotExist otherwise."""
        return inspection_for(self.person, key)

    @extend_schema(summary="List the inspections")
    def list(self, request: Request) -> Response:
        return self.get_paginated_response(InspectionSerializer(self.asked_page(), many=True).data)

    @extend_schema(summary="Show an inspection with all that was recorded on it", responses=InspectionDetailSerializer)
    def retrieve(self, request: Request, pk: int) -> Response:
        return self.shown(pk)

    @extend_schema(summary="Begin the work", request=None, responses=InspectionDetailSerializer)
    @action(detail=True, methods=["post"])
    def begin(self, request: Request, pk: int) -> Response:
        inspection_begin(inspection=self.record(pk), by=self.person)
        return self.shown(pk)

    @extend_schema(summary="Answer a step", request=AnswerBody, responses=InspectionDetailSerializer)
    @action(detail=True, methods=["post"], url_path="steps/<int:position>/answer")
    def answer(self, request: Request, pk: int, position: int) -> Response:
        step = self.record(pk).steps.get(position=position)
        step_answer(step=step, by=self.person, **self.sent(AnswerBody))
        return self.shown(pk)

    @extend_schema(summary="Record a finding", request=FindingBody, responses={201: InspectionDetailSerializer})
    @action(detail=True, methods=["post"])
    def findings(self, request: Request, pk: int) -> Response:
        finding_add(inspection=self.record(pk), by=self.person, **self.sent(FindingBody))
        return self.shown(pk, 201)

    @extend_schema(summary="Write a note", request=NoteBody, responses={201: InspectionDetailSerializer})
    @action(detail=True, methods=["post"])
    def notes(self, request: Request, pk: int) -> Response:
        """Keep it as it is written; it is no part of what is signed."""
        note_add(inspection=self.record(pk), by=self.person, **self.sent(NoteBody))
        return self.shown(pk, 201)

    @extend_schema(
        summary="Record a corrective action",
        request=CorrectiveActionBody,
        responses={201: InspectionDetailSerializer},
    )
    @action(detail=True, methods=["post"], url_path="actions")
    def corrective_actions(self, request: Request, pk: int) -> Response:
        inspection, stated = self.record(pk), self.sent(CorrectiveActionBody)
        key = stated.pop("finding", None)
        finding = _finding(inspection, key) if key is not None else None
        action_add(inspection=inspection, finding=finding, by=self.person, **stated)
        return self.shown(pk, 201)

    @extend_schema(summary="Say how far the cause is known", request=CauseBody, responses=InspectionDetailSerializer)
    @action(detail=True, methods=["post"])
    def cause(self, request: Request, pk: int) -> Response:
        cause_set(inspection=self.record(pk), by=self.person, **self.sent(CauseBody))
        return self.shown(pk)

    @extend_schema(summary="Record the second look", request=None, responses=InspectionDetailSerializer)
    @action(detail=True, methods=["post"])
    def second(self, request: Request, pk: int) -> Response:
        """For a required inspection item; refused to whoever worked on it, or is not on a list that is kept."""
        second_look(inspection=self.record(pk), by=self.person)
        return self.shown(pk)


def _finding(inspection: Inspection, key: int) -> Any:
    """Return a finding of this inspection; a fault of the body where it has none of that id."""
    finding = inspection.findings.filter(pk=key).first()
    if finding is None:
        raise serializers.ValidationError({"finding": "This inspection has no finding with that id."})
    return finding
