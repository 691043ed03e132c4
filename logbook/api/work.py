"""Work beside exceedances, and discrepancies: read, and kept as drafts; signing is done on the screen."""

from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from engines.queries import engine_list
from logbook.api.base import RecordViewSet
from logbook.api.fields import SeenField, StrictSerializer
from logbook.forms.work_facts import facts_read
from logbook.maintenance.actions import faults_shown, work_change, work_open
from logbook.maintenance.queries import discrepancy_list, work_for, work_list
from logbook.maintenance.rows import Discrepancy, DiscrepancyLine, Work


class WorkSerializer(serializers.ModelSerializer):
    """A piece of work in a list; ``entry`` is the number of the entry that it became."""

    opened_by = serializers.StringRelatedField()
    changed_by = serializers.StringRelatedField()
    second_by = serializers.StringRelatedField()
    entry = serializers.IntegerField(source="entry.number", default=None, allow_null=True)

    class Meta:
        model = Work
        fields = [
            "id", "number", "engine", "kind", "state", "opened_by", "opened_at", "changed_by", "changed_at",
            "second_by", "second_at", "dropped_why", "entry",
        ]  # fmt: skip


class WorkDetailSerializer(WorkSerializer):
    """A piece of work with all that it says, and what stands against signing it now."""

    facts = serializers.DictField()
    missing = serializers.SerializerMethodField()

    class Meta(WorkSerializer.Meta):
        fields = [*WorkSerializer.Meta.fields, "facts", "missing"]

    def get_missing(self, work: Work) -> list[str]:
        return faults_shown(work, self.context["person"]) if work.state == Work.State.OPEN else []


class WorkBody(StrictSerializer):
    """New work on an engine: of which kind, and what its sheet says so far."""

    engine = SeenField(seen=engine_list)
    kind = serializers.ChoiceField(Work.Kind.choices)
    facts = serializers.DictField(default=dict)


class FactsBody(StrictSerializer):
    """All that the sheet of work says now."""

    facts = serializers.DictField()


class WorkViewSet(RecordViewSet):
    """Work that is not signed yet, and what became of it."""

    queryset = Work.objects.none()
    serializer_class = WorkSerializer

    def get_queryset(self) -> QuerySet[Work]:
        return work_list(self.person)

    def shown(self, work: Work, status: int = 200) -> Response:
        """Return one piece of work with all that it says."""
        return self.respond(WorkDetailSerializer(work, context={"person": self.person}), status)

    @extend_schema(summary="List the work")
    def list(self, request: Request) -> Response:
        return self.get_paginated_response(WorkSerializer(self.asked_page(), many=True).data)

    @extend_schema(summary="Show work, and what stands against signing it", responses=WorkDetailSerializer)
    def retrieve(self, request: Request, pk: int) -> Response:
        return self.shown(work_for(self.person, pk))

    @extend_schema(summary="Begin work as a draft", request=WorkBody, responses={201: WorkDetailSerializer})
    def create(self, request: Request) -> Response:
        sent = self.sent(WorkBody)
        blank = Work(engine=sent["engine"], operator_id=sent["engine"].operator_id, kind=sent["kind"])
        facts = facts_read(blank, sent["facts"])
        work = work_open(engine=sent["engine"], kind=sent["kind"], facts=facts, by=self.person)
        return self.shown(work_for(self.person, work.pk), 201)

    @extend_schema(summary="Write a draft of work anew", request=FactsBody, responses=WorkDetailSerializer)
    def update(self, request: Request, pk: int) -> Response:
        work = work_for(self.person, pk)
        work_change(work=work, facts=facts_read(work, self.sent(FactsBody)["facts"]), by=self.person)
        return self.shown(work_for(self.person, pk))


class DiscrepancyLineSerializer(serializers.ModelSerializer):
    """What became of a discrepancy by one entry."""

    entry = serializers.IntegerField(source="entry.number")

    class Meta:
        model = DiscrepancyLine
        fields = ["entry", "state", "words", "text", "basis", "deferral", "placard_by", "placard_on", "due_on"]


class DiscrepancySerializer(serializers.ModelSerializer):
    """A discrepancy, how it stands now, and every line of what became of it."""

    entry = serializers.IntegerField(source="entry.number")
    state = serializers.CharField(source="state_now")
    text = serializers.CharField(source="text_now")
    basis = serializers.CharField(source="basis_now")
    lines = DiscrepancyLineSerializer(many=True)

    class Meta:
        model = Discrepancy
        fields = ["id", "number", "engine", "entry", "text", "basis", "state", "lines"]


class DiscrepancyViewSet(RecordViewSet):
    """Discrepancies of engines: open, deferred, closed."""

    queryset = Discrepancy.objects.none()
    serializer_class = DiscrepancySerializer

    def get_queryset(self) -> QuerySet[Any]:
        return discrepancy_list(self.person)

    @extend_schema(summary="List the discrepancies")
    def list(self, request: Request) -> Response:
        return self.get_paginated_response(DiscrepancySerializer(self.asked_page(), many=True).data)
