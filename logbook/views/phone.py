"""The phone's program: its worker, its manifest, the page that stands in without signal, and what is not sent yet."""

import json
from typing import Final

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from engines.models import TypeRevision
from engines.queries import engines_here
from engines.web import ScreenRequest
from inspections import states
from inspections.queries import inspection_list
from logbook.maintenance.queries import work_list
from logbook.maintenance.rows import Work
from logbook.models import Person, Unsigned
from logbook.shell import WORKER, shell_addresses, shell_page, shell_version

SCRIPT: Final = "text/javascript; charset=utf-8"
LISTS: Final = ("engine_list", "inspection_list", "handover_list", "limits_list", "unsigned_list")
MOST_ENGINES, MOST_INSPECTIONS, MOST_UNSIGNED, MOST_WORK = 20, 30, 10, 10
OF_ENGINES: Final = dict.fromkeys(("run_record", "run_timer", "check_add"), "run.record") | {"engine_detail": "read"}
OF_JOBS: Final = {"inspection_detail": "read", "handover_give": "inspection.work"}
OF_WORK: Final = ("work_detail", "work_change")


@require_safe
@never_cache
def worker(request: HttpRequest) -> HttpResponse:
    """Give the worker with the list of the files of this build; it is looked at anew whenever it is asked for."""
    program = json.dumps({"version": shell_version(), "files": shell_addresses()})
    text = f"self.PROGRAM = {program};\n{WORKER.read_text(encoding='utf8')}"
    response = HttpResponse(text, content_type=SCRIPT)
    response["Service-Worker-Allowed"] = "/"
    return response


@require_safe
def manifest(request: HttpRequest) -> JsonResponse:
    """Say what the program is called and looks like when it is put on a phone's home screen."""
    sizes = ((192, "any"), (512, "any"), (512, "maskable"))
    icons = [icon(size, purpose) for size, purpose in sizes]
    stated = {
        "id": "/",
        "name": "Embermark",
        "short_name": "Embermark",
        "description": "Maintenance logbook of small gas-turbine engines.",
        "start_url": reverse("engine_list"),
        "scope": "/",
        "display": "standalone",
        "background_color": "#ffffff",
        "theme_color": "#8a2c08",
        "icons": icons,
    }
    return JsonResponse(stated, content_type="application/manifest+json")


def icon(size: int, purpose: str) -> dict[str, str]:
    """Return one icon of the manifest."""
    name = f"logbook/icons/{'mark' if purpose == 'any' else 'mask'}-{size}.png"
    return {"src": static(name), "sizes": f"{size}x{size}", "type": "image/png", "purpose": purpose}


@require_safe
@never_cache
def offline(request: HttpRequest) -> HttpResponse:
    """Show the page that stands in for another while the server cannot be reached: the same for everybody."""
    return HttpResponse(shell_page())


@require_safe
def unsent_list(request: ScreenRequest) -> HttpResponse:
    """Show what this device keeps and the server has not received; the device itself fills it in."""
    return render(request, "logbook/unsent_list.html")


def pages_to_keep(person: Person) -> list[str]:
    """Return the addresses that are worth keeping without signal: engines, their sheets, limits, open work."""
    engines = list(engines_here(person).values_list("pk", "engine_type_id")[:MOST_ENGINES])
    lists = [reverse(name) for name in LISTS]
    pages = [reverse(name, args=[key]) for key, _ in engines for name in names_of(person, OF_ENGINES)]
    limits = [reverse("limits_detail", args=[key]) for key in revisions_of({kind for _, kind in engines})]
    written = pages_of_work(person, [key for key, _ in engines]) if person.may("work.do") else []
    return [*lists, *pages, *limits, *pages_of_jobs(person), *pages_unsigned(person), *written]


def names_of(person: Person, screens: dict[str, str]) -> list[str]:
    """Return those of some screens whose act is the person's."""
    return [name for name, act in screens.items() if person.may(act)]


def pages_of_jobs(person: Person) -> list[str]:
    """Return the pages of open inspections."""
    rows = inspection_list(person).filter(state__in=states.UNSETTLED)
    keys = rows.values_list("pk", flat=True)[:MOST_INSPECTIONS]
    return [reverse(name, args=[key]) for key in keys for name in names_of(person, OF_JOBS)]


def pages_of_work(person: Person, engines: list[int]) -> list[str]:
    """Return the pages on which maintenance is written down: begun anew, and gone on with."""
    begun = work_list(person).filter(state=Work.State.OPEN).order_by("-number").values_list("pk", flat=True)[:MOST_WORK]
    new = [reverse("work_add", args=[key, kind]) for key in engines for kind in (Work.Kind.WORK, Work.Kind.INSPECTION)]
    return [reverse("work_list"), *new, *(reverse(name, args=[key]) for key in begun for name in OF_WORK)]


def pages_unsigned(person: Person) -> list[str]:
    """Return the pages of runs that wait for a person's own signature: what to read, and where a trace goes."""
    waiting = Unsigned.objects.filter(recorded_by=person).order_by("-run__started_at")
    runs = waiting.values_list("run", flat=True)[:MOST_UNSIGNED]
    return [reverse(name, args=[run]) for run in runs for name in ("run_sign", "trace_add")]


def revisions_of(types: set[int]) -> list[int]:
    """Return the newest adopted limits of each engine type."""
    adopted = TypeRevision.objects.filter(engine_type__in=types, is_adopted=True)
    newest: dict[int, int] = dict(adopted.order_by("number").values_list("engine_type_id", "pk"))
    return list(newest.values())
