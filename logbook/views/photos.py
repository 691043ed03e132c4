"""Photos: adding one, looking at one, and its file, which is a picture and never anything else."""

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ObjectDoesNotExist
from django.db.models import QuerySet
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render

from engines.web import UNPROCESSABLE, ScreenRequest, found, screen, sent
from inspections.models import Inspection
from logbook.forms.photos import PhotoForm
from logbook.models import Entry, Photo
from logbook.photos.actions import PhotoFacts, photo_add
from logbook.photos.images import MEDIA_TYPE
from logbook.photos.queries import photo_for
from logbook.photos.shown import inspection_things
from logbook.photos.storing import photo_bytes
from logbook.photos.things import Thing, thing_for
from logbook.queries import entry_list

ADDED = "The photo is added."
# What a photo is given with: it is a picture, and no browser is to take it for anything else.
GIVEN = {
    "X-Content-Type-Options": "nosniff",
    "Content-Security-Policy": "default-src 'none'; sandbox",
    "Cache-Control": "private, max-age=300",
}


@screen("photo.add")
def photo_new(request: ScreenRequest, thing: str, key: str) -> HttpResponse:
    """Show the sheet for a photo, and take the photo."""
    about = thing_or_404(request, f"{thing}/{key}")
    form = PhotoForm(*sent(request), things=things_of(about, f"{thing}/{key}"), prefix="photo")
    if request.method == "POST" and form.act(lambda: _added(request, form)) is not None:
        messages.success(request, ADDED)
        return redirect(about.link)
    status = UNPROCESSABLE if form.errors else 200
    return render(request, "logbook/photo_new.html", {"about": about, "form": form}, status=status)


def thing_or_404(request: ScreenRequest, about: str) -> Thing:
    """Return what a photo is of, such as "run/NUMBER"; what is not there, or not theirs to see, is 404 alike."""
    try:
        return thing_for(request.user, *about.split("/", 1))
    except ObjectDoesNotExist as error:
        raise Http404(str(error)) from error


def things_of(about: Thing, own: str) -> list[tuple[str, str]]:
    """Return what the photo may be of: the one thing, or all of the inspection that it belongs to."""
    inspection = about.rows.get("inspection")
    if isinstance(inspection, Inspection) and len(about.rows) == 1:
        return inspection_things(inspection)
    return [(own, about.words.capitalize())]


def _added(request: ScreenRequest, form: PhotoForm) -> Photo:
    about = thing_or_404(request, form.cleaned_data["about"])
    facts = PhotoFacts(caption=form.cleaned_data["caption"])
    return photo_add(thing=about, data=form.cleaned_data["bytes"], facts=facts, by=request.user)[0]


@screen("read")
def photo_detail(request: ScreenRequest, pk: UUID) -> HttpResponse:
    """Show one photo whole, what it is of, and which entries tell it."""
    photo = found(photo_for, request.user, pk)
    context = {"photo": photo, "entries": entries_with(request, photo)}
    return render(request, "logbook/photo_detail.html", context)


def entries_with(request: ScreenRequest, photo: Photo) -> QuerySet[Entry]:
    """Return the entries that tell a photo, by its number, among those of its engine."""
    return entry_list(request.user).filter(engine=photo.engine_id, content__contains=f'"id":"{photo.pk}"')


@screen("read")
def photo_file(request: ScreenRequest, pk: UUID) -> HttpResponse:
    """Send a photo as it is kept."""
    photo = found(photo_for, request.user, pk)
    return picture_sent(str(photo.file.name), photo, "photo", is_kept="keep" in request.GET)


@screen("read")
def photo_preview(request: ScreenRequest, pk: UUID) -> HttpResponse:
    """Send the small picture of a photo."""
    photo = found(photo_for, request.user, pk)
    return picture_sent(str(photo.preview.name), photo, "preview")


def picture_sent(name: str, photo: Photo, called: str, *, is_kept: bool = False) -> HttpResponse:
    """Return a stored picture as a picture; 404 where its file is not at hand."""
    try:
        data = photo_bytes(name)
    except OSError as error:
        raise Http404("The file is not at hand.") from error
    how = "attachment" if is_kept else "inline"
    disposition = f'{how}; filename="{called}-{photo.pk}.jpg"'
    return HttpResponse(data, content_type=MEDIA_TYPE, headers={"Content-Disposition": disposition, **GIVEN})
