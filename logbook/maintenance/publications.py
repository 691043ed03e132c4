"""The documents on file that work is done to, and what is to be said where work names another revision."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

from django.core.files.base import File
from django.db.models import Exists, OuterRef, QuerySet

from engines.errors import DomainError
from logbook.maintenance.copies import copy_store
from logbook.maintenance.rows import Publication, Work
from logbook.people import operator_of

if TYPE_CHECKING:
    from logbook.models import Person


def publication_list(operator: int | None) -> QuerySet[Publication]:
    """Return the revision of each document that is on file, by title."""
    own = Publication.objects.filter(operator=operator or 0, received=None)
    newer = own.filter(title__iexact=OuterRef("title"), pk__gt=OuterRef("pk"))
    return own.filter(~Exists(newer)).select_related("by").order_by("title")


def publications_received(operator: int | None) -> QuerySet[Publication]:
    """Return the documents that came with records of other owners, by title; none of them is on file by that."""
    came = Publication.objects.filter(operator=operator or 0).exclude(received=None)
    return came.select_related("received").order_by("title", "-pk")


def publication_for(user: Person, pk: int) -> Publication:
    """Return a document that is or was on file, or that came; Publication.DoesNotExist for another owner's."""
    return Publication.objects.get(operator=user.operator_id or 0, pk=pk)


def publication_add(
    *, title: str, revision: str, dated: date | None, by: Person, file: File[bytes] | None = None
) -> Publication:
    """Put a document's revision on file, in the place of the one that was, with a copy of it where one is given.

    Raises DomainError "text_missing" without title or revision, "revision_same" where that one is on file.
    """
    said = {"title": title.strip(), "revision": revision.strip()}
    missing = {name: f"Give the {name}." for name, text in said.items() if not text}
    if missing:
        raise DomainError(" ".join(missing.values()), code="text_missing", fields=missing)
    on_file = on_file_of(by.operator_id, said["title"])
    if on_file is not None and on_file.revision == said["revision"]:
        words = f"{on_file} is on file."
        raise DomainError(words, code="revision_same", fields={"revision": words})
    operator = operator_of(by)
    copy = {} if file is None else copy_store(operator, file)
    return Publication.objects.create(operator_id=operator, dated=dated, by=by, **said, **copy)


def publication_put(came: Publication, by: Person) -> Publication:
    """Put on file what came with a record, with its copy; DomainError "revision_same" where that revision is."""
    said: Any = {"title": came.title, "revision": came.revision, "dated": came.dated, "by": by}
    if not came.sha256:
        return publication_add(**said)
    with came.file.open("rb") as file:
        return publication_add(**said, file=File(file, came.file_name))


def on_file_of(operator: int | None, title: str) -> Publication | None:
    """Return the revision of a document that is on file, None where none of that title is."""
    return publication_list(operator).filter(title__iexact=title.strip()).first() if title.strip() else None


def revision_warning(work: Work, on_file: Publication | None) -> str:
    """Return what is to be said where work names another revision than the one on file, "" for the same (43.13(a))."""
    named = work.said("data_revision")
    if on_file is None or not named or named.casefold() == on_file.revision.casefold():
        return ""
    since = f", put on file on {on_file.at:%Y-%m-%d}"
    return f"Worked to revision {named} of {on_file.title}; on file here is revision {on_file.revision}{since}."
