"""An engine's own calibrations, to read; one is signed on the screen."""

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from engines.models import EngineCalibration
from logbook.api.power import engine_asked


class CalibrationSerializer(serializers.ModelSerializer):
    """What an instrument of an engine reads against what that is, from a day on: ``pairs`` of both. [reads, unit]"""

    by = serializers.StringRelatedField()

    class Meta:
        model = EngineCalibration
        fields = ["channel", "reads", "unit", "pairs", "begins_on", "source", "by"]


class EngineCalibrationsView(APIView):
    """An engine's own calibrations."""

    @extend_schema(
        operation_id="engines_calibrations",
        summary="List an engine's own calibrations, the newest first",
        responses=CalibrationSerializer(many=True),
    )
    def get(self, request: Request, pk: int) -> Response:
        """Give every one that was signed; of each channel the one that began last holds."""
        rows = engine_asked(request, pk).calibrations.select_related("by").order_by("-begins_on", "-pk")
        return Response(CalibrationSerializer(rows, many=True).data)
