"""The documents on file that work is done to: what is, what came with a record, and the copies that are kept."""

from django.contrib import messages
from django.http import FileResponse, Http404, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render

from engines.errors import DomainError
from engines.web import UNPROCESSABLE, ScreenRequest, found, page_of, screen, sent
from logbook.forms.maintenance import PublicationForm
from logbook.maintenance import publications
from logbook.maintenance.rows import Publication

BINARY = "application/octet-stream"


@screen("read", "limits.enter")
def publication_list(request: ScreenRequest) -> HttpResponse:
    """Show which revision of each document is on file and which came with records, and put another on file."""
    came = request.POST.get("came", "")
    form = PublicationForm() if came else PublicationForm(*sent(request))
    if request.method == "POST":
        row = _put(request, came, form)
        if row is not None:
            messages.success(request, f"On file: {row}.")
            return redirect("publication_list")
    operator = request.user.operator_id
    context = {
        "page": page_of(request, publications.publication_list(operator)),
        "received": publications.publications_received(operator)[:100],
        "form": form if request.user.may("limits.enter") else None,
    }
    return render(request, "logbook/publication_list.html", context, status=UNPROCESSABLE if form.errors else 200)


def _put(request: ScreenRequest, came: str, form: PublicationForm) -> Publication | None:
    """Put on file what was typed, or what came with a record."""
    if not came:
        return form.act(lambda: publications.publication_add(**form.cleaned_data, by=request.user))
    row = found(publications.publication_for, request.user, int(came) if came.isdecimal() else 0)
    try:
        return publications.publication_put(row, request.user)
    except DomainError as error:
        messages.warning(request, error.message)
        return None


@screen("read")
def publication_file(request: ScreenRequest, pk: int) -> HttpResponseBase:
    """Send the copy of a document as it came, to be kept and never to be shown as a page."""
    row = found(publications.publication_for, request.user, pk)
    if not row.sha256:
        raise Http404("No copy of it is kept.")
    try:
        content = row.file.open("rb")
    except OSError as error:
        raise Http404("The file is not at hand.") from error
    return FileResponse(content, as_attachment=True, filename=row.file_name, content_type=BINARY)
