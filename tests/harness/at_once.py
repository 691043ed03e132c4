"""A record in a file, read by one process and by two at once: whole, and with one entry changed.

Run as ``python -m tests.harness.at_once`` with a data folder of its own in ``EMBERMARK_DATA``.
"""

import sys
from typing import TYPE_CHECKING, Final

from tests.harness.killed import ready

if TYPE_CHECKING:
    from engines.models import Operator

ENTRIES: Final = 21
CHANGE: Final = "UPDATE logbook_entry SET kind = 'work' WHERE number = 14"
LEVELS: Final = 2  # so that there are several full lots, and one that is not


def found(operator: "Operator", processes: int) -> str:
    """Return what so many processes find."""
    from logbook.ledger.checking import ledger_check
    from logbook.ledger.lots import LedgerBroken

    try:
        checked = ledger_check(operator, processes=processes)
    except LedgerBroken as error:
        return error.message
    return f"{checked.size} entries, root {checked.root.hex()}"


def main() -> int:
    """Print what one process finds and what two find, before the change and after it."""
    ready()
    from django.db import connection

    from engines.models import Engine
    from logbook.ledger import lots
    from logbook.ledger.guards import guards_lift, guards_set
    from logbook.models import Person
    from tests.factories import STARTED_AT
    from tests.signed import entry_made

    vars(lots).update(LEVELS=LEVELS, LOT=1 << LEVELS)
    engine, by = Engine.objects.get(), Person.objects.get(username="mechanic")
    for k in range(ENTRIES):
        entry_made(engine, {"title": f"Run {k + 1}"}, by, STARTED_AT.date())
    print(len(list(lots.full_lots(engine.operator_id, 2))), "lots read by two")
    print(found(engine.operator, 1), found(engine.operator, 2), sep="\n")
    guards_lift(connection)
    with connection.cursor() as cursor:
        cursor.execute(CHANGE)
    guards_set(connection)
    print(found(engine.operator, 1), found(engine.operator, 2), sep="\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
