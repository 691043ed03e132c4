"""How a signed entry is put right: on which sheet it is corrected, or why it is only made void."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from django.urls import reverse

from logbook.access import DIRECTOR
from logbook.corrections import run_correct_fault
from logbook.list_corrections import lines_of
from logbook.maintenance.correcting import work_of
from logbook.models import Entry, Person
from logbook.part_corrections import ACTS, row_of
from logbook.programmes import selection_of
from logbook.task_corrections import line_of

HANDED: Final = (
    "A hand-over is not corrected: its entry binds the package that went by its hash. Where it came to nothing or says "
    "what is wrong, it is made void, and the record is handed over again."
)
HANDED_VOID: Final = "A hand-over that was made void is not corrected: the record is handed over again."
RUN_VOID: Final = "A run that was made void is not corrected: where it did take place, it is recorded again."
FIRST_START: Final = (
    "A first-start plan that was signed is not corrected: its steps are runs, each corrected as such. Where it was "
    "signed in error, another plan is opened for the engine, which holds it until that one is signed."
)
UNTOLD: Final = (
    "Nothing that was recorded reads like this entry any more, so it has no sheet to correct it: record what is right, "
    "and sign that beside it."
)


@dataclass(frozen=True)
class Way:
    """On which screen an entry is put right and by which act; ``words`` say why it has no sheet to correct it."""

    screen: str = ""
    act: str = ""
    words: str = ""


CLOSE: Final = "inspection.close"
# By which act an entry is corrected that states one row alone, and what finds that row.
OF_ROWS: Final[dict[str, tuple[str, Callable[[Entry], object | None]]]] = {
    Entry.Kind.TASK: ("task.record", line_of),
    Entry.Kind.PROGRAMME: ("programme.select", selection_of),
}


def way_of(entry: Entry) -> Way:
    """Return how an entry is put right, whoever asks."""
    if entry.run is not None and entry.kind in Entry.RUNS:
        return Way(words=RUN_VOID) if entry.run.is_void else Way("run_correct", "run.record")
    if entry.body.get("handed"):
        return Way(words=HANDED_VOID) if entry.corrects_id else Way("package_give_void", "record.hand_over", HANDED)
    if entry.kind == Entry.Kind.FIRST_START:
        return Way(words=FIRST_START)
    act = _act_of(entry)
    return Way("entry_correct", act) if act else Way(words=UNTOLD)


def _act_of(entry: Entry) -> str:
    """Return the act by which an entry is corrected on its sheet, "" where nothing is left that it could state."""
    if entry.kind in OF_ROWS:
        act, row_stated = OF_ROWS[entry.kind]
        return act if row_stated(entry) else ""
    if lines_of(entry):
        return "part.move"
    if entry.component_id is not None:
        return ACTS.get(Entry.Kind(entry.kind), "part.move") if row_of(entry) else ""
    if entry.kind == Entry.Kind.ADDENDUM:
        return CLOSE
    is_ended = entry.kind == Entry.Kind.INSPECTION and entry.inspection_id is not None
    return CLOSE if is_ended or work_of(entry) else ""


def address_of(entry: Entry, person: Person, way: Way) -> str:
    """Return where a person puts an entry right; "" where they can't, or another stands in its place."""
    is_corrected = getattr(entry, "corrected_by", None) is not None
    if is_corrected or not way.screen or not (person.may(CLOSE) and person.may(way.act)):
        return ""
    if way.screen == "run_correct" and entry.run is not None:
        return "" if run_correct_fault(entry.run, person) else reverse(way.screen, args=[entry.run_id])
    is_theirs = entry.signed_by_id == person.pk or person.role == DIRECTOR
    return reverse(way.screen, args=[entry.number]) if is_theirs else ""
