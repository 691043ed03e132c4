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
from pathlib import Path

BEGAN = datetime(2026, 5, 4, 7, 30, tzinfo=UTC)
ROUNDS = 2.5  # of the work, at most, before it is killed
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


def importing() -> Iterator[str]:
    """Take the package of the one engine in for one new operator after another, and yield each operator's number."""
    from django.core.files.base import File

    from engines.models import Engine
    from logbook.handover.export import Export, package_write
    from logbook.handover.gathering import scope_of_engine
    from logbook.handover.importing import package_import
    from logbook.models import Person
    from tests.factories import OperatorFactory, PersonFactory
    from tests.signed import signing_of

    package = Path(os.environ["EMBERMARK_DATA"]) / "package.zip"
    if not package.exists():
        next(signing())
        engine = Engine.objects.get()
        with package.open("wb+") as file:
            by = Person.objects.get(username="mechanic")
            package_write(Export(scope_of_engine(engine), engine.operator, by), file)
    while True:
        receiver = OperatorFactory.create(name=f"Receiver {uuid.uuid4()}")
        by = PersonFactory.create(operator=receiver, role="director")
        with package.open("rb") as file:
            package_import(File(file), operator=receiver, by=by, signing=signing_of(by))
        yield str(receiver.pk)


def printing() -> Iterator[str]:
    """Print everything in the background, again and again, and yield the number of each job that is done."""
    from logbook.models import Entry, Person, PrintJob
    from logbook.print_jobs import PRINTS
    from logbook.print_sets import Choice

    if not Entry.objects.exists():
        next(signing())
    by = Person.objects.get(username="mechanic")
    assert by.operator is not None
    while True:
        told = {"title": "Everything", "paper": "a4", "address": "https://log.example.org", "entries": 1}
        job = PrintJob.objects.create(operator=by.operator, person=by, choice=Choice().kept(), **told)
        PRINTS.run(job.pk)
        yield str(job.pk)


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


def faults_of_importing(said: list[str]) -> Iterator[str]:
    """Yield what is wrong after packages were taken in: one that was confirmed and is gone, or one in by halves."""
    from engines.models import Operator
    from logbook.ledger.checking import ledger_check
    from logbook.ledger.lots import LedgerBroken

    for operator in Operator.objects.filter(name__startswith="Receiver"):
        there = [operator.engines.count(), operator.runs.count(), operator.entries.count()]
        if str(operator.pk) in said and there != [1, 1, 1]:
            yield f"lost: {operator} has {there}"
        if there not in ([0, 0, 0], [1, 1, 1]):
            yield f"by halves: {operator} has {there}"
        try:
            ledger_check(operator)
        except LedgerBroken as error:
            yield error.message


def faults_of_printing(said: list[str]) -> Iterator[str]:
    """Yield what is wrong after sets were printed: a set that is done without its file, or whose file is cut off."""
    from logbook.models import PrintJob

    for job in PrintJob.objects.filter(state=PrintJob.State.DONE):
        if not job.file.exists() or not job.file.read_bytes().rstrip().endswith(b"%%EOF"):
            yield f"done without its file: {job.pk}"
    yield from (f"lost: {pk}" for pk in said if not PrintJob.objects.filter(pk=pk, state=PrintJob.State.DONE).exists())


def faults_of_signing(said: list[str]) -> Iterator[str]:
    """Yield what is wrong with the record: a signature that was confirmed and is gone, a run signed twice, a break."""
    from django.db.models import Count

    from engines.models import Operator, Run
    from logbook.ledger.checking import ledger_check
    from logbook.ledger.lots import LedgerBroken
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


WORKS: dict[str, tuple[Work, Callable[[list[str]], Iterator[str]]]] = {
    "signing": (signing, faults_of_signing),
    "importing": (importing, faults_of_importing),
    "printing": (printing, faults_of_printing),
}


def main() -> int:
    """Kill the work so many times, and return 1 with what was wrong at the first time that anything was."""
    (work, faults), times = WORKS[sys.argv[1]], int(sys.argv[2])
    ready()
    # Once in this process first, so that those that are killed need not load what the first use loads.
    started = work()
    said = [next(started)]
    began = time.perf_counter()
    said.append(next(started))
    longest = ROUNDS * (time.perf_counter() - began)
    connections_close()
    draw = random.Random(9)
    for k in range(times):
        said += killed_once(work, draw.uniform(0, longest))
        found = list(faults(said))
        connections_close()
        if found:
            print(f"after {k + 1} times: {found}")
            return 1
    print(f"killed {times} times, {len(said)} confirmed")
    return 0 if len(said) > 2 else 1


if __name__ == "__main__":
    sys.exit(main())
