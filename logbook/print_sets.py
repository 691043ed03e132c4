"""Which entries a printed set holds, in which order, and what is drawn of each."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date
from typing import Any, Self

from django.db.models import F, Q, QuerySet

from engines.part_queries import component_list
from engines.queries import engine_list
from logbook.models import Entry, Person
from logbook.photos.papers import entry_photos
from logbook.pictures import entry_pictures
from logbook.press import Press
from logbook.printing.contents import Cover, Line
from logbook.printing.engine_head import engine_facts
from logbook.printing.entry import EntrySheet, engine_words, entry_pdf
from logbook.printing.log import span_words
from logbook.printing.proof import Proof
from logbook.queries import entry_list

SET_TITLE = "Print set"
NONE_CHOSEN = "No entry answers to this."
AT_ONCE = 50  # entries that are held in memory together


@dataclass(frozen=True)
class Choice:
    """What a set is chosen by: numbers of rows, days both included, kinds; None and empty for all."""

    engine: int | None = None
    components: tuple[int, ...] = ()
    first: date | None = None
    last: date | None = None
    kinds: tuple[str, ...] = ()

    def kept(self) -> dict[str, Any]:
        """Return the choice as it is stored."""
        days = {name: day and day.isoformat() for name, day in (("first", self.first), ("last", self.last))}
        return asdict(self) | days

    @classmethod
    def of(cls, kept: Mapping[str, Any]) -> Self:
        """Return a choice that was stored."""
        days = {name: date.fromisoformat(kept[name]) if kept[name] else None for name in ("first", "last")}
        return cls(kept["engine"], tuple(kept["components"]), days["first"], days["last"], tuple(kept["kinds"]))


def chosen(user: Person, choice: Choice) -> QuerySet[Entry]:
    """Return the entries that a choice names, in order of their numbers."""
    asked = {
        "engine": choice.engine,
        "component__in": choice.components or None,
        "completed_on__gte": choice.first,
        "completed_on__lte": choice.last,
        "kind__in": choice.kinds or None,
    }
    return entry_list(user).filter(**{name: value for name, value in asked.items() if value is not None})


def with_versions(user: Person, entries: QuerySet[Entry]) -> list[int]:
    """Return the numbers of entries and of every other version of them, each beside the one that it corrects."""
    corrects = dict(entries.order_by().values_list("number", "corrects__number"))
    near: Any = entries.order_by().values("pk")
    while near:
        linked = entry_list(user).filter(Q(corrected_by__in=near) | Q(corrects__in=near)).order_by()
        others = [row for row in linked.values_list("pk", "number", "corrects__number") if row[1] not in corrects]
        corrects |= {number: before for _, number, before in others}
        near = [pk for pk, _, _ in others]
    return sorted(corrects, key=lambda number: (_first_of(corrects, number), number))


def _first_of(corrects: Mapping[int, int | None], number: int) -> int:
    """Return the number of the first version of an entry."""
    before = corrects.get(number)
    return number if before is None else _first_of(corrects, before)


def _in_order(user: Person, numbers: Sequence[int]) -> Iterator[Entry]:
    """Yield entries by their numbers, some at a time, each with the numbers of its neighbouring versions."""
    entries = (
        entry_list(user)
        .select_related("corrected_by")
        .annotate(corrected=F("corrects__number"), ended_by=F("corrected_by__number"))
    )
    for first in range(0, len(numbers), AT_ONCE):
        some = numbers[first : first + AT_ONCE]
        by_number = {entry.number: entry for entry in entries.filter(number__in=some)}
        yield from (by_number[number] for number in some)


def lines_of(user: Person, numbers: Sequence[int]) -> list[Line]:
    """Return the contents of a set."""
    return [Line.of(entry.number, entry.body, entry.ended_by) for entry in _in_order(user, numbers)]  # type: ignore[attr-defined]


def sheets_of(user: Person, numbers: Sequence[int], address: str) -> Iterator[EntrySheet]:
    """Yield entries as they are printed, one at a time."""
    for entry in _in_order(user, numbers):
        yield EntrySheet(
            number=entry.number,
            body=entry.body,
            pictures=entry_pictures(entry),
            photos=entry_photos(entry),
            proof=Proof(entry.leaf_hash, entry.number, address),
            corrects=entry.corrected,  # type: ignore[attr-defined]
            superseded_by=entry.ended_by,  # type: ignore[attr-defined]
            ended_by=entry.corrected_by.body if entry.ended_by else {},  # type: ignore[attr-defined]
        )


def entry_print_of(user: Person, number: int, press: Press) -> bytes:
    """Return one entry on paper, with the other versions of it where there are any."""
    numbers = with_versions(user, entry_list(user).filter(number=number))
    sheets = list(sheets_of(user, numbers, press.address))
    return entry_pdf(sheets, paper=press.paper, stamp=press.stamp, title=f"Logbook entry {number}")


def set_cover(user: Person, choice: Choice, numbers: Sequence[int]) -> Cover:
    """Return what the sheet of contents of a set says of its entries."""
    engine = engine_list(user).get(pk=choice.engine) if choice.engine else None
    parts = component_list(user).filter(pk__in=choice.components)
    labels = dict(Entry.Kind.choices)
    of_engine = [("Of one engine only", "no")] if engine is None else engine_facts(engine)
    rows = [
        *of_engine,
        ("Of parts", ", ".join(map(str, parts)) if choice.components else "not chosen by part"),
        ("Days covered", span_words(choice.first, choice.last)),
        ("Kinds of entry", ", ".join(labels[kind] for kind in choice.kinds) or "every kind"),
        ("Entries", f"{len(numbers)} of {entry_list(user).count()} in the record, every version of each"),
    ]
    assert user.operator is not None
    return Cover(
        title=SET_TITLE,
        operator=user.operator.name,
        place=user.operator.place,
        is_demo=user.operator.is_demo,
        subject="Entries of the logbook" if engine is None else engine_words(engine.named),
        rows=rows,
        empty=NONE_CHOSEN,
        times=None if engine is None else times_at(user, numbers),
    )


def times_at(user: Person, numbers: Sequence[int]) -> dict[str, Any] | None:
    """Return an engine's times at the last of some entries, or None without one."""
    if not numbers:
        return None
    times: dict[str, Any] = entry_list(user).get(number=numbers[-1]).body.get("times") or {}
    return times
