"""Judging one channel against one level, as the published checks ask."""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from engines.documents import engine_type_read
from engines.traces import Trace
from inspections.exceedance import judge
from inspections.verdict import Excursion

LOOK = {"summary": "Look", "before_next_flight": True}


def excursions_above(
    times: ArrayLike, values: ArrayLike, limit: float, areas: list[dict[str, Any]] | None = None, **chart: Any
) -> tuple[Excursion, ...]:
    """Return the excursions of a channel above a limit, all samples joined, in the unit "percent"."""
    data = engine_type_read(
        {
            "name": "Check",
            "channels": [{"name": "x", "unit": "percent"}],
            "max_gap_s": 1e9,
            "charts": [{"name": "X", "channel": "x", "limit": limit, "areas": areas or []} | chart],
        }
    )
    return judge(Trace(np.asarray(times, dtype=float), {"x": np.asarray(values, dtype=float)}), data).excursions


def area(name: str, *vertices: tuple[float, float], side: str = "above") -> dict[str, Any]:
    """Return an area of (value, seconds) vertices."""
    return {"name": name, "allowed": [{side: v, "seconds": s} for v, s in vertices], "action": LOOK}
