"""The tasks of the demo: which of those of the type were done when, and what single engines have besides."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any


@dataclass(frozen=True)
class TasksPlan:
    """What was done of the tasks of the type, and the tasks of single engines, as the fixture has them."""

    done: tuple[Mapping[str, Any], ...] = ()
    own: tuple[Mapping[str, Any], ...] = ()


def tasks_read(path: Path) -> TasksPlan:
    """Return the tasks of the demo.

    Parameters
    ----------
    path : Path
        The fixture.

    Returns
    -------
    TasksPlan
        What it says.
    """
    facts = json.loads(path.read_text(encoding="utf-8"))
    return TasksPlan(tuple(facts["done"]), tuple(facts["own"]))
