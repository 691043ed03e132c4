"""A process that is killed without warning while it works, again and again; what it leaves is looked at each time.

Run as ``python -m tests.harness.killed signing 100`` with a data folder of its own in ``EMBERMARK_DATA``.
"""

import os
import random
import signal
import sys
import time
import uuid
from collections.abc import Callable, Iterator
from datetime import UTC, datetime

BEGAN = datetime(2026, 5, 4, 7, 30, tzinfo=UTC)
LONGEST_S = 0.15  # a few runs are recorded and signed in it
Work = Callable[[], Iterator[str]]


def ready() -> None:
    """Set the site up on a database of its own, with an operator, an engine and a mechanic."""
    import django

    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
    django.setup()
    from django.core.management import call_command

    from tests.factories import EngineFactory, PersonFactory

    call_command("migrate", verbosity=0)
    engine = EngineFactory.create(serial="TB-0001")
    PersonFactory.create(operator=engine.operator, username="mechanic", role="mechanic")
    connections_close()


def signing() -> Iterator[str]:
    """Record and sign runs without end, and yield each signed one's number and hash."""
    from engines.evidence import ReadingFacts, RunFacts
    from engines.models import Engine, Run
    from logbook.actions import run_enter
    from logbook.models import Person
    from tests.signed import run_signed

    engine, by = Engine.objects.get(), Person.objects.get(username="mechanic")
    while True:
        readings = (ReadingFacts("ITT, running", 770.0, 20.0),)
        facts = RunFacts(uuid.uuid4(), Run.Kind.GROUND_RUN, BEGAN, typed_run_time_s=1440, readings=readings)
        entry = run_signed(run_enter(engine=engine, facts=facts, by=by), by)
        yield f"{entry.number} {entry.leaf_hash}"


def connections_close() -> None:
    """Leave no connection behind that a process to come would share."""
    from django.db import connection

    connection.close()


def killed_once(work: Work, after_s: float) -> list[str]:
    """Start the work in a process of its own, kill it after so long, and return what it said it had done."""
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(read)
        try:
            for line in work():
                os.write(write, f"{line}\n".encode())
        except BaseException as error:
            os.write(write, f"failed: {error!r}\n".encode())
        # Nothing that this process does on leaving may touch what the next one works on.
        os._exit(1)
    os.close(write)
    time.sleep(after_s)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    with os.fdopen(read) as said:
        return [line.rstrip("\n") for line in said if line.endswith("\n")]


def faults(said: list[str]) -> Iterator[str]:
    """Yield what is wrong with the record: a signature that was confirmed and is gone, a run signed twice, a break."""
    from django.db.models import Count

    from engines.models import Operator, Run
    from logbook.ledger.checking import LedgerBroken, ledger_check
    from logbook.models import Entry

    kept = {f"{number} {leaf}" for number, leaf in Entry.objects.values_list("number", "leaf_hash")}
    yield from (f"lost: {line}" for line in said if line not in kept)
    double = Run.objects.annotate(signed=Count("entries")).filter(signed__gt=1)
    yield from (f"signed twice: {run}" for run in double)
    neither = Run.objects.filter(entries=None, unsigned=None)
    yield from (f"neither signed nor waiting: {run}" for run in neither)
    yield from (f"both signed and waiting: {run}" for run in Run.objects.exclude(entries=None).exclude(unsigned=None))
    try:
        ledger_check(Operator.objects.get())
    except LedgerBroken as error:
        yield error.message
    connections_close()


WORKS: dict[str, Work] = {"signing": signing}


def main() -> int:
    """Kill the work so many times, and return 1 with what was wrong at the first time that anything was."""
    work, times = WORKS[sys.argv[1]], int(sys.argv[2])
    ready()
    # Once in this process first, so that those that are killed need not load what the first use loads.
    said = [next(work())]
    connections_close()
    draw = random.Random(9)
    for k in range(times):
        said += killed_once(work, draw.uniform(0, LONGEST_S))
        found = list(faults(said))
        if found:
            print(f"after {k + 1} times: {found}")
            return 1
    print(f"killed {times} times, {len(said)} confirmed")
    return 0 if len(said) > 1 else 1


if __name__ == "__main__":
    sys.exit(main())
