"""What one run shows of power and fuel, and what is kept of it."""

from uuid import UUID

from django.db import transaction
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from engines.actions import fuel_add, setting_keep
from engines.models import Run
from engines.power_queries import run_power_of
from engines.queries import revision_in_force, run_for
from logbook.api.base import person_of
from logbook.api.fields import FiniteField, StrictSerializer


class SettingSerializer(serializers.Serializer):
    """A stretch at one steady setting, with each channel's mean. [s, channels' units]"""

    start_s = serializers.FloatField()
    end_s = serializers.FloatField()
    means = serializers.DictField(child=serializers.FloatField())


class CruiseSerializer(serializers.Serializer):
    """How cruise power was set."""

    full = SettingSerializer()
    reduced = SettingSerializer()
    cruise = SettingSerializer()
    torque_rise = serializers.FloatField()
    propeller_fall = serializers.FloatField()


class FuelSerializer(serializers.Serializer):
    """What the fuel flow adds up to. [flow's unit × h, s]"""

    amount = serializers.FloatField()
    seen_s = serializers.FloatField()
    unseen_s = serializers.FloatField()


class FuelFiguresSerializer(serializers.Serializer):
    """What the totaliser counted in a run, and what was uplifted for it, as written down last. [flow's unit × h]"""

    totaliser = serializers.FloatField(allow_null=True)
    uplift = serializers.FloatField(allow_null=True)
    remarks = serializers.CharField()
    by = serializers.CharField(source="by.__str__")


class FuelComparedSerializer(serializers.Serializer):
    """What the flow adds up to against one of these: the figure, by how much more it is, and that in percent of it."""

    name = serializers.CharField()
    figure = serializers.FloatField()
    difference = serializers.FloatField()
    percent = serializers.FloatField(allow_null=True)


class FuelBody(StrictSerializer):
    """Figures of a run's fuel, at least one; ``keep_setting`` keeps how cruise power was set on the engine's card."""

    totaliser = FiniteField(default=None, allow_null=True, min_value=0)
    uplift = FiniteField(default=None, allow_null=True, min_value=0)
    remarks = serializers.CharField(default="", allow_blank=True, max_length=240)
    keep_setting = serializers.BooleanField(default=False, help_text="Alone, or with figures of the fuel.")


class RunPowerSerializer(serializers.Serializer):
    """What a run's trace shows of power."""

    settings = SettingSerializer(many=True)
    cruise = CruiseSerializer(allow_null=True)
    fuel = FuelSerializer(allow_null=True)
    figures = FuelFiguresSerializer(allow_null=True)
    compared = FuelComparedSerializer(many=True)


class RunPowerView(APIView):
    """Steady settings, cruise power and fuel of one run."""

    @extend_schema(operation_id="runs_power", summary="Show what a run shows of power", responses=RunPowerSerializer)
    def get(self, request: Request, pk: UUID) -> Response:
        """Give what its newest trace shows by the type's rules of that day."""
        return self.shown(run_for(person_of(request), pk))

    def shown(self, run: Run) -> Response:
        """Return all of it as it is now."""
        data = revision_in_force(run.engine.engine_type, run.started_at.date()).data
        return Response(RunPowerSerializer(run_power_of(run, data)).data)

    @extend_schema(
        operation_id="runs_power_add",
        summary="Keep figures of a run's fuel, or its cruise setting",
        request=FuelBody,
        responses={201: RunPowerSerializer},
    )
    def post(self, request: Request, pk: UUID) -> Response:
        """Keep what the totaliser counted and what was uplifted; the newest figures stand."""
        run, by = run_for(person_of(request), pk), person_of(request)
        body = FuelBody(data=request.data)
        body.is_valid(raise_exception=True)
        said = body.validated_data
        is_kept = said.pop("keep_setting")
        with transaction.atomic():
            if is_kept:
                setting_keep(run=run, by=by)
            if not is_kept or (said["totaliser"], said["uplift"]) != (None, None):
                fuel_add(run=run, by=by, **said)
        answer = self.shown(run)
        answer.status_code = 201
        return answer
