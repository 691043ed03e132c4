"""What each kind of draft does once it is signed: the same acts as those of the sheets, from plain facts."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Any, Final

from engines import actions
from engines.actions.limits import LimitFacts
from engines.actions.owners import Return
from engines.actions.parts import Fitting, Removal
from engines.bulk import row_again
from engines.errors import DomainError
from engines.models import Component, Engine, PartLimit
from engines.part_queries import NEWEST_FIRST, limits_of, lines_standing
from engines.times import Times
from logbook import part_acts
from logbook.models import Entry, Person
from logbook.part_drafts.rows import PartDraft
from logbook.part_lists import parts_bulk_sign
from logbook.signing import Signing

Facts = Mapping[str, Any]
Doer = Callable[[PartDraft, Facts, dict[str, Any]], list[Entry]]
Kind = PartDraft.Kind
USED: Final = ("run_time_s", "time_in_service_s", "starts", "cycles", "partial_cycles")
LIMIT: Final = ("amount", "unit", "tolerance", "source", "source_revision", "remarks")


def draft_do(draft: PartDraft, by: Person, signing: Signing) -> list[Entry]:
    """Do what a draft says, and sign it; DomainError where it can't be done as things stand now."""
    return DOERS[Kind(draft.kind)](draft, draft.facts, {"by": by, "signing": signing})


def part_of(draft: PartDraft) -> Component:
    """Return the part that a draft is about, held by no lock yet."""
    assert draft.component is not None
    return draft.component


def engines_of(draft: PartDraft) -> list[Engine]:
    """Return the engines that a draft is about as things stand now: where the part is, and where it goes."""
    found = [part_acts.engine_of(draft.component)] if draft.component is not None else []
    if draft.facts.get("engine") or draft.facts.get("parent"):
        fitting = _fitting(draft, draft.facts)
        found.append(fitting.engine or part_acts.engine_of(fitting.parent))  # type: ignore[arg-type]
    return list(dict.fromkeys(engine for engine in found if engine is not None))


def _opening(draft: PartDraft, facts: Facts, signs: dict[str, Any]) -> list[Entry]:
    made_on = facts.get("made_on")
    told = {**facts, "made_on": date.fromisoformat(made_on) if made_on else None}
    return [part_acts.part_add_sign(**told, **signs)]


def _listed(draft: PartDraft, facts: Facts, signs: dict[str, Any]) -> list[Entry]:
    return [parts_bulk_sign(rows=[row_again(row) for row in facts["rows"]], **signs)]


def _fit(draft: PartDraft, facts: Facts, signs: dict[str, Any]) -> list[Entry]:
    fitting = _fitting(draft, facts)
    return [part_acts.part_fit_sign(component=part_of(draft), fitting=fitting, **signs)]


def _remove(draft: PartDraft, facts: Facts, signs: dict[str, Any]) -> list[Entry]:
    told = {name: facts[name] for name in ("control", "is_temporary", "place", "remarks")}
    removal = Removal(_moment(facts["at"]), **told)
    return [part_acts.part_remove_sign(component=part_of(draft), removal=removal, **signs)]


def _move(draft: PartDraft, facts: Facts, signs: dict[str, Any]) -> list[Entry]:
    fitting = _fitting(draft, {**facts, "at": facts["fitted_at"] or facts["at"], "control": ""})
    place = f"moved to {f'engine {fitting.engine.serial}' if fitting.engine else fitting.parent}"
    removal = Removal(_moment(facts["at"]), facts["control"], place=place, remarks=facts["remarks"])
    return list(part_acts.part_move_sign(component=part_of(draft), removal=removal, fitting=fitting, **signs))


def _send(draft: PartDraft, facts: Facts, signs: dict[str, Any]) -> list[Entry]:
    told = {"to": facts["to"], "at": _moment(facts["at"]), "control": facts["control"]}
    return [part_acts.part_send_sign(component=part_of(draft), **told, **signs)]


def _return(draft: PartDraft, facts: Facts, signs: dict[str, Any]) -> list[Entry]:
    used = Times(**{name: facts[name] for name in USED}, other=facts["other"])
    told = Return(_moment(facts["at"]), used, **{name: facts[name] for name in ("place", "remarks", "control")})
    return [part_acts.part_return_sign(component=part_of(draft), told=told, **signs)]


def _strike(draft: PartDraft, facts: Facts, signs: dict[str, Any]) -> list[Entry]:
    part = part_of(draft)
    newest = lines_standing().filter(component=part).order_by(*NEWEST_FIRST).values_list("pk", flat=True).first()
    if newest != facts["line"]:
        words = f"Line {facts['line']} is not the newest line of {part}; only that one is struck."
        raise DomainError(words, code="out_of_order", fields={"line": words})
    return [part_acts.part_strike_sign(component=part, reason=facts["reason"], **signs)]


def _limit_add(draft: PartDraft, facts: Facts, signs: dict[str, Any]) -> list[Entry]:
    part = part_of(draft)
    limit = actions.limit_add(
        operator=part.operator,
        part_number=part.part_number,
        serial=part.serial if facts["only_this"] else "",
        kind=facts["kind"],
        parameter=facts["parameter"],
        facts=_limit_facts(facts),
        by=signs["by"],
        further=part_acts.further_of(part_acts.engine_of(part)),
    )
    return [part_acts.limit_sign(component=part, limit=limit, **signs)]


def _limit_replace(draft: PartDraft, facts: Facts, signs: dict[str, Any]) -> list[Entry]:
    new = actions.limit_replace(limit=_limit_in_force(draft), facts=_limit_facts(facts), by=signs["by"])
    return [part_acts.limit_sign(component=part_of(draft), limit=new, **signs)]


def _done(draft: PartDraft, facts: Facts, signs: dict[str, Any]) -> list[Entry]:
    told = {name: facts[name] for name in ("reference", "steps", "tested_by")}
    limit, part = _limit_in_force(draft), part_of(draft)
    done = actions.part_done_add(component=part, limit=limit, at=_moment(facts["at"]), by=signs["by"], **told)
    return [part_acts.part_done_sign(done=done, **signs)]


def _limit_in_force(draft: PartDraft) -> PartLimit:
    """Return the limit that a draft names; DomainError "replaced_before" where it is not in force any more."""
    for limit in limits_of(part_of(draft)):
        if limit.pk == draft.facts["limit"]:
            return limit
    raise DomainError("This limit is not in force any more.", code="replaced_before")


def _limit_facts(facts: Facts) -> LimitFacts:
    return LimitFacts(**{name: facts[name] for name in LIMIT}, weight=Decimal(facts["weight"]))


def _fitting(draft: PartDraft, facts: Facts) -> Fitting:
    engine = Engine.objects.filter(operator=draft.operator_id, pk=facts.get("engine") or 0).first()
    parent = Component.objects.filter(operator=draft.operator_id, pk=facts.get("parent") or 0).first()
    told = {name: facts[name] for name in ("position", "control", "remarks")}
    # Drafts that were sent before there was such a box name none.
    told["release_certificate"] = facts.get("release_certificate", "")
    return Fitting(_moment(facts["at"]), engine, parent, **told)


def _moment(text: str) -> datetime:
    return datetime.fromisoformat(text)


DOERS: Final[dict[Kind, Doer]] = {
    Kind.OPENING: _opening,
    Kind.LIST: _listed,
    Kind.FIT: _fit,
    Kind.REMOVE: _remove,
    Kind.MOVE: _move,
    Kind.SEND: _send,
    Kind.RETURN: _return,
    Kind.STRIKE: _strike,
    Kind.LIMIT_ADD: _limit_add,
    Kind.LIMIT_REPLACE: _limit_replace,
    Kind.DONE: _done,
}
