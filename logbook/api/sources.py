"""Where the figures of a run's verdict come from: the arithmetic of an excursion, and what a repeat count counted."""

from dataclasses import asdict
from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.exceptions import NotFound
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse
from rest_framework.views import APIView

from engines.queries import run_for
from inspections.counted import CountedLine, CountSource, count_source
from inspections.models import Judgement
from inspections.queries import judgement_of
from logbook.api.base import person_of
from logbook.sources import Source


class ExplanationSerializer(serializers.Serializer):
    """The verdict on one excursion worked through, in sentences."""

    rules = serializers.ListField(child=serializers.CharField())
    seconds = serializers.ListField(child=serializers.CharField(), help_text="The sum of the time beyond the limit.")
    peak = serializers.CharField()
    areas = serializers.ListField(child=serializers.CharField(), help_text="Each area held against what was read.")
    margin = serializers.CharField()
    assumed = serializers.ListField(child=serializers.CharField())
    worst = serializers.ListField(child=serializers.CharField(), help_text="The areas again, with that assumed.")


class SampleSerializer(serializers.Serializer):
    """One sample of the excursion, or of the few around it."""

    sample = serializers.IntegerField(help_text="Counted from 1.")
    file_row = serializers.IntegerField(allow_null=True, help_text="Row of the file; null where it is not known.")
    time_s = serializers.FloatField(help_text="From the first row. [s]")
    value = serializers.FloatField(allow_null=True, help_text="In the chart's unit; null: no valid sample.")
    beyond_s = serializers.FloatField(help_text="Time beyond the limit since the sample before. [s]")
    is_peak = serializers.BooleanField()
    is_inside = serializers.BooleanField()


class ChartSourceSerializer(serializers.Serializer):
    """The chart that judged, and the revision that it stands in."""

    name = serializers.CharField()
    unit = serializers.CharField()
    source = serializers.CharField(allow_blank=True)  # type: ignore[assignment]
    revision = serializers.IntegerField()
    revision_source = serializers.CharField(allow_blank=True)


class ExcursionSourceSerializer(serializers.Serializer):
    """Everything that the figures of one excursion rest on."""

    place = serializers.IntegerField()
    judged_at = serializers.DateTimeField()
    chart = ChartSourceSerializer()
    excursion = serializers.JSONField(help_text="As in the verdict.")
    explanation = ExplanationSerializer()
    samples = SampleSerializer(many=True)
    no_samples = serializers.CharField(allow_blank=True, help_text="Why there are no samples.")


class CountedLineSerializer(serializers.Serializer):
    """One event, or for a rule of total time one run, as the rule took it."""

    run = serializers.UUIDField()
    started_at = serializers.DateTimeField()
    area = serializers.CharField(allow_null=True)
    seconds = serializers.FloatField(allow_null=True, help_text="What the run adds, for a rule of total time. [s]")
    inspection = serializers.IntegerField(allow_null=True, help_text="The number of the inspection it called for.")
    why_not = serializers.CharField(allow_blank=True, help_text="Why it was not counted; empty where it was.")
    verdict = serializers.URLField()


class CountSourceSerializer(serializers.Serializer):
    """What a repeat count rests on, newest run first."""

    place = serializers.IntegerField()
    judged_at = serializers.DateTimeField()
    chart = ChartSourceSerializer()
    count = serializers.JSONField(help_text="As in the verdict.")
    begins = serializers.CharField()
    total_now = serializers.FloatField(help_text="What the lines come to, by the causes and work recorded now.")
    lines = CountedLineSerializer(many=True)


class SourceView(APIView):
    """A source of the judgement that stands for a run."""

    def judgement(self, request: Request, pk: UUID) -> Judgement:
        """Return the judgement; 404 where the run has none, or whoever asks may not see it."""
        found = judgement_of(run_for(person_of(request), pk))
        if found is None:
            raise NotFound("This run is not judged: it carries neither a reading nor a trace.", code="not_judged")
        return found

    def common(self, judgement: Judgement, chart: Any, place: int) -> dict[str, Any]:
        """Return what every source says: which judgement, which chart of which revision."""
        about = {"revision": judgement.revision.number, "revision_source": judgement.revision.source}
        chart_about = {"name": chart.name, "unit": chart.unit, "source": chart.source}
        return {"place": place, "judged_at": judgement.judged_at, "chart": chart_about | about}


class ExcursionSourceView(SourceView):
    """The arithmetic behind one excursion."""

    @extend_schema(
        operation_id="runs_excursion_source",
        summary="Show where the figures of one excursion come from",
        responses=ExcursionSourceSerializer,
    )
    def get(self, request: Request, pk: UUID, place: int) -> Response:
        """Give rule, sum, areas and samples of the excursion at that place in the verdict, counted from 1."""
        judgement = self.judgement(request, pk)
        if not 1 <= place <= len(judgement.verdict["excursions"]):
            raise NotFound("This verdict has no such excursion.")
        source = Source(judgement, place)
        shown = self.common(judgement, source.case.chart, place) | {
            "excursion": judgement.verdict["excursions"][place - 1],
            "explanation": asdict(source.explanation),
            "samples": source.lines,
            "no_samples": source.no_samples if source.samples is None else "",
        }
        return Response(ExcursionSourceSerializer(shown).data)


class CountSourceView(SourceView):
    """What one repeat count rests on."""

    @extend_schema(
        operation_id="runs_repeat_source",
        summary="Show what a repeat count counted, and what it did not",
        responses=CountSourceSerializer,
    )
    def get(self, request: Request, pk: UUID, place: int) -> Response:
        """Give each event of the engine's history as the rule took it; the place is that in the verdict, from 1."""
        judgement = self.judgement(request, pk)
        source = count_source(judgement, place)
        if source is None:
            raise NotFound("This verdict has no such count.")
        return Response(CountSourceSerializer(self.shown(request, source, place)).data)

    def shown(self, request: Request, source: CountSource, place: int) -> dict[str, Any]:
        """Return the count with its lines as the schema describes them."""
        return self.common(source.judgement, source.chart, place) | {
            "count": source.stated,
            "begins": source.begins,
            "total_now": source.total,
            "lines": [self.line(request, line) for line in source.lines],
        }

    def line(self, request: Request, line: CountedLine) -> dict[str, Any]:
        """Return one line, leading to the verdict that it was taken from."""
        return {
            "run": line.run.pk,
            "started_at": line.run.started_at,
            "area": line.area,
            "seconds": line.seconds,
            "inspection": line.inspection.number if line.inspection else None,
            "why_not": line.why_not,
            "verdict": reverse("api:run-verdict", args=[line.run.pk], request=request),
        }
