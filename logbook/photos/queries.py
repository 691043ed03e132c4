"""Reads of photos; everything is reached through the person who asks."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any, Final
from uuid import UUID

from django.db.models import Aggregate, F, Model, OuterRef, QuerySet, Subquery, TextField
from django.db.models.functions import JSONObject

from logbook.models import Entry, Person, Photo
from logbook.photos.rows import SHOWN

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

TOLD: Final = "photos_told"
STRUCK: Final = F("strike__reason")


@dataclass(frozen=True)
class Shown:
    """A photo as a screen shows it: what stands beside it, none of its bytes."""

    id: UUID
    sha256: str
    of: str
    caption: str
    width: int
    height: int
    size: int
    kept_at: datetime | None
    added_name: str
    added_at: datetime
    struck: str | None = None

    @property
    def words(self) -> str:
        """Return what it is, for who does not see it."""
        return f"{self.caption}. {self.of}" if self.caption else self.of

    @property
    def title(self) -> str:
        """Return what it is called in a list."""
        return f"Photo of {self.of}"


class _Listed(Aggregate):
    """Several rows of an inner query as one text of JSON, whatever the database calls that."""

    function = "JSON_GROUP_ARRAY"
    output_field = TextField()

    def as_postgresql(self, compiler: Any, connection: Any, **context: Any) -> Any:
        return super().as_sql(compiler, connection, template="%(function)s(%(expressions)s)::text", function="JSON_AGG")


def photos_told(name: str, outer: str = "pk") -> Subquery:
    """Return the photos of what a query reads, told in that same query.

    ``name`` leads from a photo to it, ``outer`` is the column of the query that names it.
    """
    own = Photo.objects.filter(**{name: OuterRef(outer)}).order_by().values(name)
    facts: Any = {field: F(field) for field in SHOWN} | {"struck": STRUCK}
    return Subquery(own.annotate(told=_Listed(JSONObject(**facts))).values("told"), output_field=TextField())


def photos_of(name: str, row: Model, told_with: Model | None = None) -> list[Shown]:
    """Return the photos of a run, an inspection or work, oldest first: as they were told with it, or read now."""
    bearer = told_with or row
    if hasattr(bearer, TOLD):
        return photos_read(getattr(bearer, TOLD))
    return [Shown(**told) for told in Photo.objects.filter(**{name: row}).values(*SHOWN, struck=STRUCK)]


def photos_read(told: str | None) -> list[Shown]:
    """Return photos that were told in another query, oldest first."""
    found = [_shown(row) for row in json.loads(told or "[]")]
    return sorted(found, key=lambda photo: (photo.added_at, str(photo.id)))


def _shown(row: dict[str, Any]) -> Shown:
    return Shown(**row | {"id": UUID(row["id"]), **{name: _moment(row[name]) for name in ("kept_at", "added_at")}})


def _moment(text: str | None) -> datetime | None:
    """Return a moment as a database writes it into JSON; SQLite has all in UTC and does not say so."""
    moment = None if text is None else datetime.fromisoformat(text)
    return moment.replace(tzinfo=UTC) if moment is not None and moment.tzinfo is None else moment


def photo_list(user: Person) -> QuerySet[Photo]:
    """Return the operator's photos, oldest first."""
    return Photo.objects.filter(operator_id=user.operator_id or 0).select_related(
        "engine", "inspection", "run", "work", "strike__by"
    )


def photo_for(user: Person, pk: UUID) -> Photo:
    """Return one photo; Photo.DoesNotExist where the person may not see it."""
    return photo_list(user).get(pk=pk)


def entries_telling(photo: Photo) -> QuerySet[Entry]:
    """Return the entries that tell a photo, by its number, among those of its engine."""
    own = Entry.objects.filter(operator=photo.operator_id, engine=photo.engine_id)
    return own.filter(content__contains=f'"id":"{photo.pk}"').order_by("number")


def photos_about(entry: Entry) -> list[Shown]:
    """Return the photos of what an entry is about, those added after it was signed among them, none that was struck."""
    found = Photo.objects.filter(operator=entry.operator_id, strike=None)
    if entry.kind == Entry.Kind.ADDENDUM:
        return []
    if entry.kind in Entry.RUNS and entry.run_id:
        found = found.filter(run=entry.run_id)
    elif entry.inspection_id:
        found = found.filter(inspection=entry.inspection_id)
    elif entry.body.get("draft"):
        found = found.filter(work__number=entry.body["draft"])
    else:
        return []
    return [Shown(**told) for told in found.values(*SHOWN)]


def photos_later(entry: Entry, addenda: Sequence[Entry] | None = None) -> list[Shown]:
    """Return the photos of what an entry is about that neither it nor an addendum to it tells: they came afterwards."""
    found = photos_about(entry)
    known = addenda if addenda is not None else addenda_of(entry) if found else ()
    signed = {told["id"] for one in (entry, *known) for told in _told(one)}
    return [photo for photo in found if str(photo.id) not in signed]


def _told(entry: Entry) -> list[dict[str, Any]]:
    return entry.body.get("photos") or []


def addenda_of(entry: Entry) -> list[Entry]:
    """Return the addenda to an entry, oldest first; a run is signed once more instead."""
    if entry.kind in (*Entry.RUNS, Entry.Kind.ADDENDUM) or entry.engine_id is None:
        return []
    about = {"operator": entry.operator_id, "engine": entry.engine_id, "kind": Entry.Kind.ADDENDUM}
    found = Entry.objects.filter(number__gt=entry.number, **about).order_by("number")
    return [one for one in found if one.body["addendum"]["entry"] == entry.number]


def with_own_photos(user: Person, body: dict[str, Any]) -> dict[str, Any]:
    """Return the body of an entry of another owner, its photos under the numbers that they have here."""
    told = body.get("photos") or []
    kept = photo_list(user).filter(sha256__in=[one["sha256"] for one in told]) if told else Photo.objects.none()
    own = {photo.sha256: str(photo.pk) for photo in kept}
    return body | {"photos": [one | {"id": own.get(one["sha256"], "")} for one in told]}


def photos_named(entries: Iterable[Entry]) -> dict[str, str]:
    """Return the names of the files of every photo that entries name, by SHA-256."""
    digests = {told["sha256"] for entry in entries for told in entry.body.get("photos") or ()}
    operators = {entry.operator_id for entry in entries}
    found = Photo.objects.filter(operator__in=operators, sha256__in=digests) if digests else Photo.objects.none()
    return {photo.sha256: str(photo.file.name) for photo in found}
