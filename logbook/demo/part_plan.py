"""The plan of the demo's limits and of its parts within modules, read from the fixture."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any


@dataclass(frozen=True)
class PartsPlan:
    """Limits by part number, parts within modules, and what another program sent, as the fixture has them."""

    entered_by: str = ""
    limits: tuple[Mapping[str, Any], ...] = ()
    parts: tuple[Mapping[str, Any], ...] = ()
    sent: tuple[Mapping[str, Any], ...] = ()


def parts_read(path: Path) -> PartsPlan:
    """Return the limits and parts of the demo.

    Parameters
    ----------
    path : Path
        Where the fixture is.

    Returns
    -------
    PartsPlan
        In the order of the fixture.
    """
    facts = json.loads(path.read_text(encoding="utf-8"))
    return PartsPlan(facts["entered_by"], tuple(facts["limits"]), tuple(facts["parts"]), tuple(facts["sent"]))
