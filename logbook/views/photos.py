"""Photos: adding one, looking at one, and its file, which is a picture and never anything else."""

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ObjectDoesNotExist
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from engines.errors import DomainError
from engines.web import UNPROCESSABLE, ScreenRequest, found, screen, sent
from inspections.models import Inspection
from logbook.access import DIRECTOR
from logbook.forms.photos import AddendumForm, PhotoForm
from logbook.forms.signing import SigningSheet
from logbook.models import Entry, Photo
from logbook.photos import actions
from logbook.photos.actions import PhotoFacts, photo_add
from logbook.photos.addenda import MEANING, addendum_fault, addendum_sign
from logbook.photos.images import MEDIA_TYPE
from logbook.photos.queries import entries_telling, photo_for, photos_later
from logbook.photos.shown import inspection_things
from logbook.photos.storing import photo_bytes
from logbook.photos.things import Thing, thing_for
from logbook.queries import entry_for
from logbook.views.signing import read_and_sign

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
    entries = list(entries_telling(photo))
    own = request.user.pk == photo.added_by_id or request.user.role == DIRECTOR
    context = {"photo": photo, "entries": entries, "may_strike": own and request.user.may("photo.add") and not entries}
    return render(request, "logbook/photo_detail.html", context)


@require_POST
@screen("photo.add")
def photo_strike(request: ScreenRequest, pk: UUID) -> HttpResponse:
    """Strike a photo that was taken in error and that no entry tells."""
    photo = found(photo_for, request.user, pk)
    try:
        actions.photo_strike(photo=photo, reason=request.POST.get("reason", ""), by=request.user)
        messages.success(request, "The photo is struck; no entry will tell it.")
    except DomainError as error:
        messages.warning(request, error.message)
    return redirect("photo_detail", pk)


@screen("inspection.close")
def entry_add_photos(request: ScreenRequest, number: int) -> HttpResponse:
    """Show the photos that came since an entry was signed, and sign the addendum that takes them up."""
    entry = found(entry_for, request.user, number)
    later = photos_later(entry)
    if fault := addendum_fault(entry, request.user, later):
        messages.warning(request, fault.message)
        return redirect("entry_detail", number)

    def sign(form: SigningSheet) -> Entry:
        how = {"by": request.user, "signing": form.signing(MEANING), "read": form.cleaned_data.get("read", "")}
        return addendum_sign(entry=entry, remarks=form.cleaned_data["remarks"], **how)

    context = {
        "heading": f"Addendum to entry {number}",
        "lead": f"It tells the photos that came since: {len(later)}. Entry {number} stays as it was signed.",
        "kept_as": f"addendum:{number}",
        "back": (reverse("entry_detail", args=[number]), f"Entry {number}"),
    }
    return read_and_sign(request, AddendumForm, sign, template="logbook/package_sheet.html", context=context)


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
