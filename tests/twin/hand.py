"""Small engine types and traces for the cases worked by hand."""

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from tests.twin import judge

Number = int | float | str | Fraction
Corners = Sequence[tuple[Number, Number]]
ACTION = {"summary": "Look", "before_next_flight": False}

# 8 to 12 in one second, two seconds there, back in one: D(10) = 3, D(11) = 2.5, 2 s at 12.
HUMP_TIMES: list[Number | None] = [0, 1, 3, 4]
HUMP: list[Number | None] = [8, 12, 12, 8]


def chart(*areas: Corners, **more: Any) -> dict[str, Any]:
    """Return a chart of itt with its limit at 10, judged by the true curve unless told otherwise."""
    side = more.get("side", "above")
    named = [
        {"name": name, "allowed": [{side: v, "seconds": s} for v, s in corners], "action": ACTION}
        for name, corners in zip("ABC", areas, strict=False)
    ]
    own = {"name": "ITT", "channel": "itt", "limit": 10, "unit": "degC", "method": "time_above", "areas": named}
    return own | more


def engine_type(*charts: dict[str, Any], tolerance: Number = 0, segmented: bool = False) -> dict[str, Any]:
    """Return an engine type that turns at 1, idles at 4 and stops below 3."""
    document: dict[str, Any] = {
        "name": "Invented",
        "channels": [
            {"name": "itt", "label": "ITT", "unit": "degC", "tolerance": tolerance},
            {"name": "n1", "label": "N1", "unit": "percent"},
        ],
        "charts": list(charts),
    }
    if segmented:
        speeds = {"turning": 1, "idle": 4, "stopping_below": 3, "light_off_rise": 50}
        document["segmentation"] = {"speed": "n1", "temperature": "itt"} | speeds
    return document


def excursions(
    one_chart: dict[str, Any], times: Sequence[Number | None], itt: Sequence[Number | None], tolerance: Number = 0
) -> list[dict[str, Any]]:
    """Return the excursions of one trace beyond one chart."""
    found: list[dict[str, Any]] = judge(engine_type(one_chart, tolerance=tolerance), times, {"itt": itt})["excursions"]
    return found


def picked(found: list[dict[str, Any]], *keys: str) -> list[tuple[Any, ...]]:
    """Return the named facts of each excursion."""
    return [tuple(one[key] for key in keys) for one in found]
