"""Parts with a limit: those of an engine, all of them, and one part followed through its history."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from engines.coming_due import task_lines
from engines.counters import CALENDAR, Counter
from engines.filters import ComponentFilter
from engines.lives import History, amount_text, arithmetic_of, gains_while_off
from engines.models import Component, PartLimit, PartMovement
from engines.part_queries import (
    NEWEST_FIRST,
    PartStatus,
    component_for,
    component_list,
    components_on,
    lines_current,
    statuses_of,
)
from engines.queries import engine_for
from engines.standing import part_tasks_of
from engines.times import Times, total
from engines.web import ScreenRequest, found, page_of, screen
from logbook.forms.lists import list_fields
from logbook.part_acts import further_of
from logbook.part_drafts.queries import component_shown
from logbook.part_words import LimitRow, control_words, life_words, limit_rows, limit_words, sum_lines
from logbook.printing.parts import part_pdf, parts_pdf
from logbook.queries import entries_shown
from logbook.views.prints import press_of


@dataclass(frozen=True)
class PartLine:
    """A part with its limits in words, and the line of the ledger by which it is fitted, if it is."""

    part: Component
    rows: list[LimitRow]
    line: PartMovement | None
    used: str

    @property
    def share(self) -> Any:
        """Return what the parts of a list are ordered by: the smallest share left first, no limit last."""
        return min((row.status.share_left for row in self.rows), default=2)


def part_lines(parts: list[Component], further: tuple[Counter, ...] = ()) -> list[PartLine]:
    """Return parts with their limits in words, in four queries, those that are reached first in front."""
    statuses = statuses_of(parts, timezone.localdate())
    fitted = lines_current().filter(component__in=parts).select_related("engine", "parent")
    lines = {line.component_id: line for line in fitted}
    found_ = [_part_line(statuses[part.pk], lines.get(part.pk), further) for part in parts]
    return sorted(found_, key=lambda line: line.share)


def _part_line(status: PartStatus, line: PartMovement | None, further: tuple[Counter, ...]) -> PartLine:
    return PartLine(status.component, limit_rows(status, further), line, life_words(status.used))


@screen("read")
def part_list(request: ScreenRequest, pk: int) -> HttpResponse:
    """Show the parts that run with an engine: each limit, what is used of it and what is left."""
    engine = found(engine_for, request.user, pk)
    lines = part_lines(list(components_on(engine)), further_of(engine))
    context = {
        "engine": engine,
        "limited": [line for line in lines if line.rows],
        "others": [line for line in lines if not line.rows],
    }
    return render(request, "engines/part_list.html", context)


@screen("read")
def part_index(request: ScreenRequest) -> HttpResponse:
    """Show every part of the operator, fitted or not, a page at a time."""
    filtered = ComponentFilter(request.GET, queryset=component_list(request.user), request=request)
    page = page_of(request, filtered.qs)
    lines = part_lines(list(page.object_list))
    context = {
        "page": page,
        "lines": sorted(lines, key=lambda line: (line.part.part_number, line.part.serial)),
        "filter": filtered,
        "fields": list_fields(filtered, ("part_number", "serial")),
    }
    return render(request, "engines/part_index.html", context)


@screen("read")
def part_detail(request: ScreenRequest, pk: int) -> HttpResponse:
    """Follow one part: where it was fitted, its times carried forward, and how each figure adds up."""
    part = found(component_shown, request.user, pk)
    return render(request, "engines/part_detail.html", followed(request, part))


def followed(request: ScreenRequest, part: Component) -> dict[str, Any]:
    """Return what is known of a part, for its screen and its print."""
    moves = list(
        part.movements.select_related(
            "engine__engine_type", "parent", "recorded_by", "void__by", "replaces", "replaced_by"
        ).order_by(*NEWEST_FIRST)
    )
    standing = [move for move in moves if not hasattr(move, "void")]
    further = further_of(next((move.engine for move in standing if move.engine), None))
    status = statuses_of([part], timezone.localdate())[part.pk]
    history = status.history
    rows = limit_rows(status, further)
    return {
        "part": part,
        **whereabouts(standing[0] if standing else None),
        "used": life_words(status.used),
        "brought": life_words(part.brought),
        "rows": rows,
        "gained": gains_while_off(history, [move.at for move in standing if move.is_temporary and not move.control]),
        "sums": sums_of(rows, history, further),
        "moves": [(move, life_words(carried(history, move)), control_words(move)) for move in moves],
        "tasks": list(task_lines(part_tasks_of(Component.objects.filter(pk=part.pk)), {}, timezone.localdate())),
        "done": part.done.select_related("limit", "recorded_by", "replaced_by").order_by("-at", "-pk"),
        "entries": entries_shown(request.user).filter(component=part).order_by("-number"),
    }


def whereabouts(last: PartMovement | None) -> dict[str, Any]:
    """Return where a part is by the last line of its ledger: fitted, gone for good, or left with another owner."""
    is_left = last is not None and last.kind == PartMovement.Kind.LEFT
    return {
        "fitted": last if last is not None and last.kind == PartMovement.Kind.FITTED else None,
        "last": last,
        "is_gone": is_left or (last is not None and last.control == "6"),
        "is_left": is_left,
    }


def carried(history: History, move: PartMovement) -> Times:
    """Return what a part had used when a line of its ledger was reached."""
    return total([history.brought, *(stay.used for stay in history.stays if stay.end and stay.end <= move.at)])


def sums_of(rows: list[LimitRow], history: History, further: tuple[Counter, ...]) -> list[dict[str, Any]]:
    """Return the arithmetic of each limit that is counted."""
    found_ = []
    for row in rows:
        limit = row.status.limit
        if limit.parameter == CALENDAR:
            continue
        arithmetic = arithmetic_of(limit, history)
        found_.append(
            {
                "what": row.what,
                "opening": amount_text(arithmetic.opening, limit.unit, 2),
                "from_new": limit.kind == "life" or limit.key not in history.done,
                "lines": sum_lines(limit, arithmetic, further),
                "total": amount_text(arithmetic.total, limit.unit, 2),
            }
        )
    return found_


@screen("read")
def limit_detail(request: ScreenRequest, pk: int, limit: int) -> HttpResponse:
    """Show every revision of a limit of a part, the newest first."""
    part = found(component_for, request.user, pk)
    own = PartLimit.objects.filter(operator=part.operator_id, part_number=part.part_number, pk=limit)
    key = own.values("key")[:1]
    revisions = PartLimit.objects.filter(operator=part.operator_id, key__in=key).select_related(
        "entered_by", "replaced_by"
    )
    context = {"part": part, "rows": [(row, limit_words(row)) for row in revisions.order_by("-pk")]}
    if not context["rows"]:
        raise Http404(f"{part} has no limit {limit}.")
    return render(request, "engines/limit_detail.html", context)


@screen("print")
def parts_print(request: ScreenRequest, pk: int) -> HttpResponse:
    """Print the status of the parts with a limit that run with an engine."""
    engine, press = found(engine_for, request.user, pk), press_of(request)
    lines = part_lines(list(components_on(engine)), further_of(engine))
    content = parts_pdf(engine, [line for line in lines if line.rows], paper=press.paper, stamp=press.stamp)
    return press.answer(content, f"parts-{engine.serial}-{timezone.localdate()}.pdf")


@screen("print")
def part_print(request: ScreenRequest, pk: int) -> HttpResponse:
    """Print a part's history, to go with it."""
    part, press = found(component_for, request.user, pk), press_of(request)
    content = part_pdf(followed(request, part), paper=press.paper, stamp=press.stamp)
    return press.answer(content, f"part-{part.part_number}-{part.serial}.pdf".replace(" ", "-"))
