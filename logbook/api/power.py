"""The operator's own limits, power and condition trend of an engine."""

from typing import Any
from uuid import UUID

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.exceptions import NotFound
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from engines.actions import CheckFacts, power_check_add
from engines.models import Engine
from engines.power_assurance import PowerReadings
from engines.queries import engine_list, run_for
from inspections.queries import judgement_of
from logbook.advisories import engine_advisory_of
from logbook.api.base import person_of
from logbook.api.fields import FiniteField, StrictSerializer
from logbook.condition import card_lines, condition_of_engine, happenings_of


class AdvisedSerializer(serializers.Serializer):
    """One excursion beyond an operator's own limit; it opens nothing."""

    name = serializers.CharField(help_text="Of the operator's own limit.")
    chart = serializers.CharField(help_text="The maker's, which it is tighter than.")
    channel = serializers.CharField()
    unit = serializers.CharField()
    side = serializers.CharField()
    limit = serializers.FloatField(help_text="The operator's own. [unit]")
    maker = serializers.FloatField(help_text="The maker's. [unit]")
    start_s = serializers.FloatField(allow_null=True)
    end_s = serializers.FloatField(allow_null=True)
    peak = serializers.FloatField(allow_null=True)
    seconds = serializers.FloatField(allow_null=True, help_text="Beyond the operator's own limit. [s]")
    margin = serializers.FloatField(allow_null=True, help_text="Short of the maker's limit; null beyond it. [unit]")
    is_beyond_maker = serializers.BooleanField()
    open_ended = serializers.BooleanField()
    is_read = serializers.BooleanField(help_text="Written down by a person, not recorded.")


class AdvisoryCountSerializer(serializers.Serializer):
    """One of the operator's own limits, with how often it was passed."""

    name = serializers.CharField(source="own.name")
    chart = serializers.CharField(source="maker.name")
    unit = serializers.CharField(source="maker.unit")
    limit = serializers.FloatField(source="own.limit")
    maker = serializers.FloatField(source="maker.limit")
    reason = serializers.CharField(source="own.reason")
    in_all = serializers.IntegerField()
    since_overhaul = serializers.IntegerField(allow_null=True)
    recent = serializers.IntegerField(help_text="In the last 90 days.")
    least_margin = serializers.FloatField(allow_null=True)


class AdvisedRunSerializer(serializers.Serializer):
    """One excursion beyond an operator's own limit, with its run."""

    run = serializers.UUIDField()
    began = serializers.DateTimeField()
    advised = AdvisedSerializer()


class EngineAdvisorySerializer(serializers.Serializer):
    """The operator's own limits of an engine, and what went beyond them, newest first."""

    revision = serializers.IntegerField(source="revision.number")
    counts = AdvisoryCountSerializer(many=True)
    passed = AdvisedRunSerializer(many=True)


def engine_asked(request: Request, pk: int) -> Engine:
    """Return an engine that whoever asks may see; NotFound otherwise."""
    engine = engine_list(person_of(request)).filter(pk=pk).first()
    if engine is None:
        raise NotFound("There is no such engine.")
    return engine


class EngineAdvisoryView(APIView):
    """The operator's own limits of one engine."""

    @extend_schema(
        operation_id="engines_advisory",
        summary="Show the operator's own limits of an engine, and what went beyond them",
        responses=EngineAdvisorySerializer,
    )
    def get(self, request: Request, pk: int) -> Response:
        """Give each limit with its counts, and each excursion; nothing is opened by these."""
        engine = engine_asked(request, pk)
        found = engine_advisory_of(person_of(request), engine, timezone.localdate())
        return Response(EngineAdvisorySerializer(found).data)


class RunAdvisoryView(APIView):
    """What went beyond the operator's own limits in one run."""

    @extend_schema(
        operation_id="runs_advisory",
        summary="Show what went beyond the operator's own limits in a run",
        responses=AdvisedSerializer(many=True),
    )
    def get(self, request: Request, pk: UUID) -> Response:
        """Give each excursion; the verdict does not hold them, as they call for nothing."""
        run = run_for(person_of(request), pk)
        judgement = judgement_of(run)
        found: list[Any] = [] if judgement is None else judgement.advisory
        return Response(AdvisedSerializer(found, many=True).data)


class ReadingsSerializer(StrictSerializer):
    """What was read at one steady setting, in the units of the type's channels."""

    air_c = FiniteField(help_text="Outside air temperature. [°C]")
    altitude_ft = FiniteField(help_text="Pressure altitude. [ft]")
    torque = FiniteField()
    propeller = FiniteField(help_text="Propeller speed.")
    temperature = FiniteField(help_text="Gas temperature.")
    speed = FiniteField(help_text="Gas generator speed.")
    fuel_flow = FiniteField()


class PowerCheckBody(StrictSerializer):
    """A power check."""

    at = serializers.DateTimeField()
    readings = ReadingsSerializer()
    begins_baseline = serializers.BooleanField(default=False)
    why = serializers.CharField(default="", allow_blank=True, max_length=240, help_text="The change, if one begins.")
    remarks = serializers.CharField(default="", allow_blank=True, max_length=240)


class AssuredSerializer(serializers.Serializer):
    """One quantity of a power check: read, corrected to standard sea level, the chart's most, and what is left."""

    quantity = serializers.CharField()
    channel = serializers.CharField()
    unit = serializers.CharField()
    read = serializers.FloatField()
    corrected = serializers.FloatField()
    most = serializers.FloatField(allow_null=True)
    margin = serializers.FloatField(allow_null=True)


class PowerCheckSerializer(serializers.Serializer):
    """A power check worked out."""

    at = serializers.DateTimeField(source="row.at")
    run = serializers.UUIDField(source="row.run_id", allow_null=True)
    readings = serializers.DictField(source="row.readings", child=serializers.FloatField())
    begins_baseline = serializers.BooleanField(source="row.begins_baseline")
    why = serializers.CharField(source="row.why")
    by = serializers.CharField(source="row.by.__str__")
    theta = serializers.FloatField(source="check.theta")
    delta = serializers.FloatField(source="check.delta")
    power_kw = serializers.FloatField(source="check.power")
    corrected_power_kw = serializers.FloatField(source="check.corrected")
    quantities = AssuredSerializer(source="check.quantities", many=True)


class CruiseSettingSerializer(serializers.Serializer):
    """A setting of cruise power on the engine's card, as the flight's trace showed it."""

    run = serializers.UUIDField(source="row.run_id")
    facts = serializers.DictField(source="row.facts")


class EnginePowerSerializer(serializers.Serializer):
    """An engine's power checks, the newest first, and its card of cruise settings."""

    checks = PowerCheckSerializer(many=True)
    settings = CruiseSettingSerializer(many=True)


class EnginePowerView(APIView):
    """Power checks of one engine, and its card of cruise settings."""

    def shown(self, engine: Engine) -> Response:
        """Return all of it as it is now."""
        condition = condition_of_engine(engine)
        card = card_lines(engine, condition.data) if condition.data else []
        return Response(EnginePowerSerializer({"checks": condition.newest_first, "settings": card}).data)

    @extend_schema(
        operation_id="engines_power",
        summary="Show an engine's power checks and its cruise settings",
        responses=EnginePowerSerializer,
    )
    def get(self, request: Request, pk: int) -> Response:
        """Give each check with what it comes to by the type's chart of today."""
        return self.shown(engine_asked(request, pk))

    @extend_schema(
        operation_id="engines_power_check_add",
        summary="Record a power check",
        request=PowerCheckBody,
        responses={201: EnginePowerSerializer},
    )
    def post(self, request: Request, pk: int) -> Response:
        """Keep readings at one steady setting; they are only ever added to."""
        engine = engine_asked(request, pk)
        body = PowerCheckBody(data=request.data)
        body.is_valid(raise_exception=True)
        said = body.validated_data
        facts = CheckFacts(**{**said, "readings": PowerReadings(**said["readings"])})
        power_check_add(engine=engine, facts=facts, by=person_of(request))
        answer = self.shown(engine)
        answer.status_code = 201
        return answer


class SlopeSerializer(serializers.Serializer):
    """Theil and Sen's slope with its interval. [unit a day]"""

    slope = serializers.FloatField()
    low = serializers.FloatField()
    high = serializers.FloatField()


class ShiftSerializer(serializers.Serializer):
    """A shift: how many checks lie before it, its size, Pettitt's K and the chance of it."""

    before = serializers.IntegerField()
    size = serializers.FloatField()
    statistic = serializers.FloatField()
    chance = serializers.FloatField()


class DaysSerializer(serializers.Serializer):
    """In how many days the margin may be used up, if it goes on as in these checks; null where that is not foreseen."""

    soonest = serializers.FloatField(allow_null=True)
    likely = serializers.FloatField(allow_null=True)
    latest = serializers.FloatField(allow_null=True)


class TrendPointSerializer(serializers.Serializer):
    """One margin to the chart."""

    at = serializers.DateTimeField()
    margin = serializers.FloatField()
    is_counted = serializers.BooleanField()


class TrendSerializer(serializers.Serializer):
    """How one quantity's margin goes."""

    quantity = serializers.CharField()
    channel = serializers.CharField()
    unit = serializers.CharField()
    since = serializers.DateTimeField(allow_null=True)
    since_words = serializers.CharField()
    baseline = serializers.FloatField(allow_null=True)
    latest = serializers.FloatField(allow_null=True)
    change = serializers.FloatField(allow_null=True)
    slope = SlopeSerializer(allow_null=True)
    shift = ShiftSerializer(allow_null=True)
    days = DaysSerializer(allow_null=True)
    points = TrendPointSerializer(many=True)


class BeyondSerializer(serializers.Serializer):
    """What went beyond a maker's limit: an exceedance, or a near miss that entered no area."""

    at = serializers.DateTimeField()
    run = serializers.UUIDField()
    words = serializers.CharField()
    is_exceedance = serializers.BooleanField()


class EngineTrendSerializer(serializers.Serializer):
    """The trends of an engine's margins, and beside them what went beyond the maker's limits, the newest first."""

    trends = TrendSerializer(many=True)
    beyond = BeyondSerializer(many=True)


class EngineTrendView(APIView):
    """The condition of one engine."""

    @extend_schema(
        operation_id="engines_trend", summary="Show how an engine's margins go", responses=EngineTrendSerializer
    )
    def get(self, request: Request, pk: int) -> Response:
        """Give the trend of each quantity that the type's chart has; it says nothing of whether the engine may fly."""
        engine = engine_asked(request, pk)
        found = {"trends": condition_of_engine(engine).trends, "beyond": happenings_of(engine)}
        return Response(EngineTrendSerializer(found).data)
