"""The prints that lie in a package."""

from logbook.handover.tables import Scope
from logbook.models import Person
from logbook.press import press_for
from logbook.print_sets import lines_of, sheets_of, times_at
from logbook.printing.log import LogCover, log_pdf
from logbook.printing.sealing import sealed


def log_of(scope: Scope, by: Person, numbers: list[int]) -> bytes:
    """Return the entries as one PDF, signed for the operator where it has a certificate for that."""
    press = press_for(by, "a4", "")
    operator = scope.engine.operator if scope.engine else scope.components[0].operator
    part = scope.components[0] if scope.components else None
    words = scope.engine.named if scope.engine else {"serial": f"part {part}", "type": ""}
    cover = LogCover(
        operator=operator.name,
        place=operator.place,
        is_demo=operator.is_demo,
        engine=words,
        span=(None, None),
        entries_in_all=len(numbers),
    )
    content = log_pdf(
        lines_of(by, numbers),
        sheets_of(by, numbers, press.address),
        cover=cover,
        times=times_at(by, numbers),
        paper=press.paper,
        stamp=press.stamp,
    )
    return sealed(content, press.seal)
