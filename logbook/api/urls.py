"""The REST door, one line per noun."""

from csp.decorators import csp_update
from django.http import Http404
from django.urls import path, re_path
from drf_spectacular.views import SpectacularAPIView, SpectacularSwaggerSplitView
from rest_framework.request import Request
from rest_framework.routers import SimpleRouter
from rest_framework.views import APIView

from logbook.api.calibrations import EngineCalibrationsView
from logbook.api.checks import StartCheckView
from logbook.api.components import ComponentViewSet
from logbook.api.engine_types import EngineTypeViewSet
from logbook.api.engines import EngineViewSet
from logbook.api.entries import EntryPrintView, EntryViewSet
from logbook.api.first_starts import EngineFirstStartsView, FirstStartStepsView
from logbook.api.inspections import InspectionViewSet
from logbook.api.outbox import OutboxView
from logbook.api.part_drafts import PartDraftViewSet
from logbook.api.part_limits import LimitViewSet
from logbook.api.part_lists import PartListView
from logbook.api.photos import PhotoFileView, PhotoPreviewView, PhotoViewSet
from logbook.api.power import EngineAdvisoryView, EnginePowerView, EngineTrendView, RunAdvisoryView
from logbook.api.programmes import EngineProgrammeView
from logbook.api.run_power import RunPowerView
from logbook.api.runs import RunViewSet
from logbook.api.sources import CountSourceView, ExcursionSourceView
from logbook.api.starts import RunStartsView, StartDriftView
from logbook.api.tasks import DueView, TaskListView, TaskRecordView
from logbook.api.traces import TraceView
from logbook.api.work import DiscrepancyViewSet, WorkViewSet

app_name = "api"

# The page to browse by sets styles of its own from its script, which no other page may.
docs = csp_update({"style-src": ["'unsafe-inline'"]})(SpectacularSwaggerSplitView.as_view(url_name="api:schema"))

router = SimpleRouter(use_regex_path=False)
router.register("engine-types", EngineTypeViewSet, basename="engine-type")
router.register("engines", EngineViewSet, basename="engine")
router.register("runs", RunViewSet, basename="run")
router.register("inspections", InspectionViewSet, basename="inspection")
router.register("components", ComponentViewSet, basename="component")
router.register("components/<int:component>/limits", LimitViewSet, basename="component-limit")
router.register("part-drafts", PartDraftViewSet, basename="part-draft")
router.register("photos", PhotoViewSet, basename="photo")
router.register("entries", EntryViewSet, basename="entry")
router.register("work", WorkViewSet, basename="work")
router.register("discrepancies", DiscrepancyViewSet, basename="discrepancy")


class NothingHere(APIView):
    """Answers every other address under this one."""

    authentication_classes = []
    schema = None

    def initial(self, request: Request, *args: object, **kwargs: object) -> None:
        raise Http404


urlpatterns = [
    path("components/bulk/", PartListView.as_view({"post": "keep"}), name="component-bulk"),
    path("components/bulk/preview/", PartListView.as_view({"post": "preview"}), name="component-bulk-preview"),
    *router.urls,
    path("runs/<uuid:pk>/trace/", TraceView.as_view(), name="run-trace"),
    path("runs/<uuid:pk>/excursions/<int:place>/source/", ExcursionSourceView.as_view(), name="run-excursion-source"),
    path("runs/<uuid:pk>/repeats/<int:place>/source/", CountSourceView.as_view(), name="run-repeat-source"),
    path("runs/<uuid:pk>/starts/", RunStartsView.as_view(), name="run-starts"),
    path("engines/<int:pk>/first-starts/", EngineFirstStartsView.as_view(), name="engine-first-starts"),
    path("first-starts/<int:pk>/steps/", FirstStartStepsView.as_view(), name="first-start-steps"),
    path("engines/<int:pk>/programme/", EngineProgrammeView.as_view(), name="engine-programme"),
    path("engines/<int:pk>/start-checks/", StartCheckView.as_view(), name="engine-start-checks"),
    path("engines/<int:pk>/start-drift/", StartDriftView.as_view(), name="engine-start-drift"),
    path("engines/<int:pk>/tasks/", TaskListView.as_view(), name="engine-tasks"),
    path("engines/<int:pk>/tasks/<slug:key>/records/", TaskRecordView.as_view(), name="engine-task-records"),
    path("engines/<int:pk>/advisory/", EngineAdvisoryView.as_view(), name="engine-advisory"),
    path("engines/<int:pk>/power/", EnginePowerView.as_view(), name="engine-power"),
    path("engines/<int:pk>/trend/", EngineTrendView.as_view(), name="engine-trend"),
    path("engines/<int:pk>/calibrations/", EngineCalibrationsView.as_view(), name="engine-calibrations"),
    path("runs/<uuid:pk>/power/", RunPowerView.as_view(), name="run-power"),
    path("runs/<uuid:pk>/advisory/", RunAdvisoryView.as_view(), name="run-advisory"),
    path("photos/<uuid:pk>/file/", PhotoFileView.as_view(), name="photo-file"),
    path("photos/<uuid:pk>/preview/", PhotoPreviewView.as_view(), name="photo-preview"),
    path("due/", DueView.as_view(), name="due-list"),
    path("entries/<int:number>/print/", EntryPrintView.as_view(), name="entry-print"),
    path("outbox/", OutboxView.as_view(), name="outbox"),
    path("schema/", SpectacularAPIView.as_view(), name="schema"),
    path("docs/", docs, name="docs"),
    re_path("", NothingHere.as_view(), name="nothing"),
]
