"""Engines' conditions with all that holds them: inspections, tasks, limits of parts, unsigned work, discrepancies."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from inspections import queries
from inspections.queries import Condition, Due
from logbook.maintenance.queries import holding

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from engines.models import Engine


def conditions_of(engines: Iterable[Engine], due: Due | None = None) -> dict[int, Condition]:
    """Return the condition of each of several engines; ``due`` is what comes due on them, where that is read."""
    engines = list(engines)
    held = holding(engines)
    found = queries.conditions_of(engines, due)
    return {key: condition_held(condition, held[key]) for key, condition in found.items()}


def condition_held(condition: Condition, reasons: Sequence[str]) -> Condition:
    """Return a condition with more that holds the engine."""
    if not reasons:
        return condition
    return replace(condition, is_serviceable=False, reasons=(*condition.reasons, *reasons))
