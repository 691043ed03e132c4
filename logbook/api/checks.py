"""Checks before a start, by REST."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.pagination import PageNumberPagination
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from engines.errors import DomainError
from engines.models import StartCheck
from engines.queries import engine_for, revision_in_force
from engines.start_checks import NOT_SO, SO, Answer, Check
from logbook.api.base import person_of
from logbook.api.fields import FiniteField, StrictSerializer
from logbook.start_checks import check_enter, check_list

LONGEST_REASON = 240


class CheckAnswerBody(StrictSerializer):
    """The answer to one check: ``value`` where it asks for a reading, else ``so``; both null: not checked."""

    name = serializers.CharField(max_length=120, help_text="The check's name, as in the type's document.")
    value = FiniteField(default=None, allow_null=True, help_text="In the check's unit.")
    so = serializers.BooleanField(default=None, allow_null=True)
    reason = serializers.CharField(max_length=LONGEST_REASON, default="", allow_blank=True)


class StartCheckBody(StrictSerializer):
    """An observer's answers, one for each check of the type in force, in any order."""

    id = serializers.UUIDField(required=False, help_text="Chosen by the sender, so that sending again is harmless.")
    answers = CheckAnswerBody(many=True)
    remarks = serializers.CharField(max_length=240, default="", allow_blank=True)


class StartCheckSerializer(serializers.ModelSerializer):
    """Checks before a start as they were answered."""

    by = serializers.StringRelatedField()
    revision = serializers.IntegerField(source="revision.number")

    class Meta:
        model = StartCheck
        fields = ["id", "engine", "revision", "answers", "remarks", "by", "at"]


class StartCheckView(APIView):
    """The checks before starts of one engine."""

    @extend_schema(
        operation_id="engines_start_checks_list",
        summary="List the checks before starts of an engine, newest first",
        responses=StartCheckSerializer(many=True),
    )
    def get(self, request: Request, pk: int) -> Response:
        rows = check_list(person_of(request)).filter(engine=engine_for(person_of(request), pk))
        pages = PageNumberPagination()
        shown = pages.paginate_queryset(rows, request, view=self)
        return pages.get_paginated_response(StartCheckSerializer(shown, many=True).data)

    @extend_schema(
        operation_id="engines_start_checks_create",
        summary="Keep an observer's answers to the checks before a start",
        request=StartCheckBody,
        responses={201: StartCheckSerializer},
    )
    def post(self, request: Request, pk: int) -> Response:
        """Judge the readings; one out of place needs a reason (`reason_needed`) and is put to the director."""
        engine = engine_for(person_of(request), pk)
        revision = revision_in_force(engine.engine_type, timezone.localdate())
        body = StartCheckBody(data=request.data)
        body.is_valid(raise_exception=True)
        sent: dict[str, Any] = body.validated_data
        checks = revision.data.checks.checks if revision.data.checks else ()
        said = answers_sent(checks, sent["answers"])
        check = check_enter(
            engine=engine,
            revision=revision,
            answers=[answer_of(check, said.get(check.name)) for check in checks],
            reasons={k: said[c.name]["reason"] for k, c in enumerate(checks) if c.name in said},
            by=person_of(request),
            remarks=sent["remarks"],
            id=sent.get("id"),
        )
        return Response(StartCheckSerializer(check).data, status=201)


def answers_sent(checks: tuple[Check, ...], answers: list[dict[str, Any]]) -> dict[str, dict[str, Any]]:
    """Return the answers by name; DomainError "check_unknown" for a name that the type's checks do not have."""
    known = {check.name for check in checks}
    for answer in answers:
        if checks and answer["name"] not in known:
            raise DomainError(f"“{answer['name']}” is no check of this type.", code="check_unknown")
    return {answer["name"]: answer for answer in answers}


def answer_of(check: Check, said: dict[str, Any] | None) -> Answer:
    """Return the answer to a check as it was sent; None where it was not answered."""
    if said is None:
        return None
    if check.unit:
        return None if said["value"] is None else float(said["value"])
    return None if said["so"] is None else SO if said["so"] else NOT_SO
