"""Running lines for tests of layout."""

from typing import Any

from logbook.printing.running import Running, Stamp
from tests.logbook.printing.bodies import PRINTED_BY, STAMPED


def running(**changes: Any) -> Running:
    """Return the lines above and below a page, some of them replaced."""
    lines = {"left": ("Operator", "Engine"), "right": ("Entry 1", "revision 1"), "is_demo": False}
    return Running(**{**lines, "stamp": Stamp(STAMPED, PRINTED_BY), **changes})
