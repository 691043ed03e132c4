"""Engines' conditions with all that holds them: inspections, tasks, work that is not signed, open discrepancies."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from inspections import queries
from inspections.queries import Condition
from logbook.maintenance.queries import holding

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from engines.models import Engine
    from engines.standing import Standing


def conditions_of(
    engines: Iterable[Engine], standings: Mapping[int, Iterable[Standing]] | None = None
) -> dict[int, Condition]:
    """Return the condition of each of several engines; ``standings`` is how their tasks stand, where that is read."""
    engines = list(engines)
    held = holding(engines)
    found = queries.conditions_of(engines, standings)
    return {key: condition_held(condition, held[key]) for key, condition in found.items()}


def condition_held(condition: Condition, reasons: Sequence[str]) -> Condition:
    """Return a condition with more that holds the engine."""
    if not reasons:
        return condition
    return replace(condition, is_serviceable=False, reasons=(*condition.reasons, *reasons))
