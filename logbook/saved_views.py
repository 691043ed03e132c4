"""Keeping, changing and taking away saved views; each only by whose it is."""

from uuid import UUID

from django.db import IntegrityError, transaction

from engines.errors import DomainError
from logbook.desk import SavedView
from logbook.models import Person

LONGEST_NAME = 80
LONGEST_QUERY = 500


def _name(name: str) -> str:
    name = " ".join(name.split())
    if not name:
        raise DomainError("Give the view a name.", code="text_missing", fields={"name": "is missing"})
    if len(name) > LONGEST_NAME:
        raise DomainError(f"A view's name has at most {LONGEST_NAME} letters.", code="text_too_long")
    return name


def _query(query: str) -> str:
    if len(query) > LONGEST_QUERY:
        raise DomainError("That is too much to keep in one view; narrow the list by less.", code="text_too_long")
    return query


def _own(view: SavedView, by: Person) -> None:
    if view.person_id != by.pk:
        raise DomainError(f"This view is {view.person}'s; keep one of your own.", code="not_yours")


def _save(view: SavedView) -> SavedView:
    try:
        with transaction.atomic():
            view.save()
    except IntegrityError as error:
        raise DomainError(f"You have a view named “{view.name}” of this list already.", code="name_taken") from error
    return view


def view_keep(*, of: str, name: str, query: str, by: Person) -> SavedView:
    """Keep a list as it is narrowed, under a name that is the person's only one of that list."""
    if of not in SavedView.Of.values:
        raise DomainError(f"There is no list {of!r} to keep a view of.", code="list_unknown")
    return _save(SavedView(person=by, of=of, name=_name(name), query=_query(query)))


def view_change(*, view: SavedView, by: Person, name: str | None = None, query: str | None = None) -> SavedView:
    """Give a view another name or other filters; None leaves what is."""
    _own(view, by)
    view.name = view.name if name is None else _name(name)
    view.query = view.query if query is None else _query(query)
    return _save(view)


def view_drop(*, view: SavedView, by: Person) -> None:
    """Take a view away."""
    _own(view, by)
    SavedView.objects.filter(pk=view.pk).delete()


def key_of(asked: str) -> UUID | None:
    """Return the view's key that an address names, or None where it names none."""
    try:
        return UUID(asked)
    except ValueError:
        return None
