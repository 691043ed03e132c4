"""The log card of an engine: who it is and where fitted, its life run by run, what was done, what is deferred."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from django.utils import timezone

from engines.models import Engine, PartMovement
from engines.part_queries import lines_standing
from engines.standing import standings_of
from engines.tasks import DIRECTIVE
from logbook.engine_papers.items import deferred_listing, open_listing
from logbook.engine_papers.sheets import life_words, sheet_of, signer_words, standing_entries
from logbook.models import Entry, Person
from logbook.printing.engine_sheet import EngineSheet, Listing
from logbook.printing.retention import WORK
from logbook.printing.tasks import HEADINGS, WIDTHS, task_row
from logbook.printing.wording import day_text, given, hours_given

TITLE: Final = "Engine log card"
MODIFICATIONS: Final = (DIRECTIVE, "bulletin")


@dataclass
class _Card:
    """The rows of a card as they are read, entry by entry."""

    fitted: list[list[Any]] = field(default_factory=list)
    runs: list[list[Any]] = field(default_factory=list)
    work: list[list[Any]] = field(default_factory=list)
    where: tuple[Any, Any] | None = None

    def entry_add(self, entry: Entry) -> None:
        """Write an entry into its place."""
        body, day = entry.body, day_text(entry.completed_on)
        engine: Mapping[str, Any] = body.get("engine") or {}
        where = (engine.get("fitted_to"), engine.get("position"))
        if where != self.where:
            self.where = where
            self.fitted.append([day, given(where[0]), given(where[1]), f"entry {entry.number}"])
        times: Mapping[str, Any] = body.get("times") or {}
        if entry.kind in Entry.RUNS:
            self.runs.append([day, entry.number, *_run_cells(body.get("run") or {}), life_words(times)])
        else:
            release: Mapping[str, Any] = body.get("release") or {}
            said = "\n".join(text for text in (given(body.get("title")), release.get("label")) if text)
            self.work.append([day, entry.number, said, life_words(times), signer_words(body)])


def _run_cells(run: Mapping[str, Any]) -> list[str]:
    """Return what a run was, and what it counted for: as counted, else as written down."""
    typed, counted = run.get("typed") or {}, run.get("counted") or {}
    used = [counted.get(name) if counted.get(name) is not None else typed.get(name) for name in _USED]
    return [given(run.get("kind")), f"{hours_given(used[0], 2)} run, {hours_given(used[1], 2)} in service"]


_USED: Final = ("run_time_s", "time_in_service_s")


def card_sheet(user: Person, engine: Engine) -> EngineSheet:
    """Return the log card of an engine as it stands now."""
    card = _Card()
    for entry in standing_entries(user, engine):
        card.entry_add(entry)
    about = [("Constructor", None), ("Date of construction", None), ("Last overhaul", engine.overhauled_on)]
    life = ("Date", "Entry", "Kind", "Of this run", "Life since new")
    done = ("Date", "Entry", "What, with its outcome", "Life at that point", "Signed by, certificate, when")
    listings = [
        Listing("Fitted to", ("From", "Fitted to", "Position", "Reference"), (0.17, 0.37, 0.24, 0.22), card.fitted),
        Listing("Runs", life, (0.14, 0.1, 0.14, 0.24, 0.38), card.runs),
        Listing("Maintenance, inspections, releases", done, (0.14, 0.1, 0.28, 0.22, 0.26), card.work),
        Listing("Directives, bulletins and modifications", HEADINGS, WIDTHS, _modifications(engine)),
        _moves(engine),
        open_listing(user, engine),
        deferred_listing(engine),
    ]
    return sheet_of(engine, TITLE, about, listings, WORK)


def _modifications(engine: Engine) -> Sequence[Sequence[Any]]:
    standings = standings_of([engine])[engine.pk]
    return [task_row(standing) for standing in standings if standing.task.kind in MODIFICATIONS]


def _moves(engine: Engine) -> Listing:
    moves = lines_standing().filter(engine=engine).select_related("component", "recorded_by").order_by("at", "pk")
    return Listing(
        "Parts fitted and removed",
        ("Date", "Part", "What happened", "Position", "Recorded by"),
        (0.15, 0.34, 0.14, 0.17, 0.2),
        [_move(move) for move in moves],
    )


def _move(move: PartMovement) -> list[Any]:
    part = move.component
    name = "\n".join(text for text in (f"{part.part_number}, serial {part.serial}", part.description) if text)
    day = None if move.at is None else timezone.localdate(move.at)
    return [day_text(day), name, move.get_kind_display(), move.position, str(move.recorded_by)]
