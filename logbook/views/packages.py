"""Handing a record over and taking one in: packages made, looked at, signed for, and read afterwards."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import FileResponse, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from engines.errors import DomainError
from engines.part_queries import component_for
from engines.queries import engine_for
from engines.web import UNPROCESSABLE, ScreenRequest, found, page_of, screen, sent
from logbook.forms.packages import PackageForm, PackageSignForm
from logbook.forms.signing import SigningSheet
from logbook.handover import jobs, queries
from logbook.handover.importing import MEANING, Incoming, package_import, package_look, received_body
from logbook.handover.waiting import waiting_drop, waiting_keep, waiting_key, waiting_open
from logbook.ledger.canonical import canonical
from logbook.models import Entry
from logbook.photos.queries import with_own_photos
from logbook.signing import signed_body
from logbook.views.signing import read_and_sign

DO = "record.hand_over"
GONE = "The package is no longer kept here. Choose it again."


@require_POST
@screen(DO)
def package_make(request: ScreenRequest, pk: int) -> HttpResponse:
    """Have the record of an engine packed."""
    engine = found(engine_for, request.user, pk)
    return _made(request, reverse("engine_record", args=[pk]), engine=engine)


@require_POST
@screen(DO)
def part_package_make(request: ScreenRequest, pk: int) -> HttpResponse:
    """Have the record of a part packed."""
    component = found(component_for, request.user, pk)
    return _made(request, reverse("part_detail", args=[pk]), component=component)


def _made(request: ScreenRequest, back: str, **about: Any) -> HttpResponse:
    try:
        job = jobs.job_add(person=request.user, **about)
    except DomainError as error:
        messages.warning(request, error.message)
        return redirect(back)
    return redirect("package_job", job.pk)


@screen(DO)
def package_job(request: ScreenRequest, pk: UUID) -> HttpResponse:
    """Show how far a package is, and where it lies once it is packed."""
    job = found(queries.job_for, request.user, pk)
    jobs.PACKAGES.revive(job)
    template = "logbook/package_job_state.html" if request.htmx else "logbook/package_job.html"
    return render(request, template, {"job": job})


@screen(DO)
def package_job_file(request: ScreenRequest, pk: UUID) -> HttpResponseBase:
    """Give a package to whoever asked for it; where it is not packed, say how far it is."""
    job = found(queries.job_for, request.user, pk)
    if not job.is_there:
        return redirect("package_job", job.pk)
    return FileResponse(job.file.open("rb"), as_attachment=True, filename=f"record-{job.pk}.zip")


@screen("read")
def package_list(request: ScreenRequest) -> HttpResponse:
    """Show the packages that were taken in, or those of one engine where the address asks."""
    rows = queries.package_list(request.user)
    engine = request.GET.get("engine", "")
    rows = rows.filter(engine=int(engine)) if engine.isdecimal() else rows
    return render(request, "logbook/package_list.html", {"page": page_of(request, rows)})


@screen(DO)
def package_add(request: ScreenRequest) -> HttpResponse:
    """Take a package, look whether everything in it matches, and keep it until it is signed for."""
    form = PackageForm(*sent(request))
    if request.method == "POST":
        data = form.cleaned_data if form.is_valid() else {}

        def keep() -> str:
            package_look(data["file"], data["key"])
            data["file"].seek(0)
            return waiting_keep(request, data["file"], data["key"])

        token = form.act(keep)
        if token is not None:
            return redirect(f"{reverse('package_take')}?waiting={token}")
    return render(request, "logbook/package_add.html", {"form": form}, status=UNPROCESSABLE if form.errors else 200)


@screen(DO)
def package_take(request: ScreenRequest) -> HttpResponse:
    """Show what is in a package, and take it in once that is signed."""
    token = request.GET.get("waiting", "")
    file = waiting_open(request, token)
    if file is None:
        messages.warning(request, GONE)
        return redirect("package_add")
    with file:
        incoming = package_look(file, waiting_key(request, token))

        def sign(form: SigningSheet) -> Entry:
            read = form.cleaned_data.get("read", "")
            if "password" not in form.fields or form.errors:
                return _rehearsed(request, incoming, form)
            operator = request.user.operator
            assert operator is not None
            key = waiting_key(request, token)
            how = {"by": request.user, "signing": form.signing(MEANING), "read": read, "key": key}
            package = package_import(file, operator=operator, **how)
            waiting_drop(request, token)
            return package.entry

        context = {"incoming": incoming, "counted": counted(incoming)}
        return read_and_sign(request, PackageSignForm, sign, template="logbook/package_take.html", context=context)


def _rehearsed(request: ScreenRequest, incoming: Incoming, form: SigningSheet) -> Entry:
    """Return the entry that would be signed, which is not stored."""
    operator = request.user.operator
    assert operator is not None
    body = received_body(incoming, operator, request.user)
    return Entry(content=canonical(signed_body(body, request.user, form.signing(MEANING), timezone.now())))


def counted(incoming: Incoming) -> list[tuple[str, int]]:
    """Return how many of what a package holds, under names for people."""
    counts = incoming.receipt["counts"]
    return [(name.replace("_", " ").capitalize(), int(count)) for name, count in counts.items()]


@screen("read")
def package_detail(request: ScreenRequest, pk: int) -> HttpResponse:
    """Show a package that was taken in, and its entries."""
    package = found(queries.package_for, request.user, pk)
    page = page_of(request, package.entries.defer("document", "path").order_by("number"))
    return render(request, "logbook/package_detail.html", {"package": package, "page": page})


@screen("read")
def package_file(request: ScreenRequest, pk: int) -> HttpResponseBase:
    """Give a package as it was taken in."""
    package = found(queries.package_for, request.user, pk)
    return FileResponse(package.file.open("rb"), as_attachment=True, filename=f"package-{package.sha256[:16]}.zip")


@screen("read")
def received_entry(request: ScreenRequest, pk: int, number: int) -> HttpResponse:
    """Show an entry of another owner's ledger, and whether its proof still holds."""
    entry = found(lambda user, package: queries.received_for(user, package, number), request.user, pk)
    body = with_own_photos(request.user, entry.body)
    return render(request, "logbook/received_entry.html", {"received": entry, "body": body, "entry": entry})
