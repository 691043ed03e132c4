"""How a document names its engine: in its facts, and in the lines that run above and below its text."""

from typing import Any

from engines.models import Engine
from logbook.printing.entry import engine_words, owner_words
from logbook.printing.particulars import engine_rows
from logbook.printing.running import Running, Stamp


def engine_facts(engine: Engine) -> list[tuple[str, Any]]:
    """Return the rows of facts that a document about an engine begins with."""
    return engine_rows(engine.named)


def engine_running(engine: Engine, title: str, told: str, stamp: Stamp) -> Running:
    """Return what runs above and below a document about an engine: its title, and what else is told beside it."""
    operator = engine.operator
    return Running(
        left=(owner_words(operator.name, operator.place), engine_words(engine.named)),
        right=(title, told),
        is_demo=operator.is_demo,
        stamp=stamp,
    )
