"""Every screen over 10,000 engines and 1,000,000 runs: its queries, and its time beside that with a few engines.

Takes some minutes and 2 GB of the temporary folder. ``--engines 100`` tries it out on fewer.
"""

import os
import tempfile
from argparse import ArgumentParser
from collections.abc import Callable
from functools import partial
from pathlib import Path
from statistics import median

import django

ENGINES, RUNS_EACH, ROUNDS = 10_000, 100, 3
MOST_QUERIES = 10


def times_of(visits: dict[str, tuple[Callable[[], object], int]]) -> dict[str, float]:
    """Return the median time of opening each screen, after once unmeasured. [ms]"""
    from tests.benchmarks.timing import seconds

    taken = {name: [seconds(look) for _ in range(ROUNDS + 1)] for name, (look, _) in visits.items()}
    return {name: 1000 * median(every[1:]) for name, every in taken.items()}


def looks() -> dict[str, tuple[Callable[[], object], int]]:
    """Return how the director opens each screen that is a page to them, and how many queries it takes."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    from tests.benchmarks.fleet_stage import stage_kept
    from tests.walk import queries_in, screens, visits

    found: dict[str, tuple[Callable[[], object], int]] = {}
    for name in screens():
        for role, client, address in visits(stage_kept(), name):
            if client is not None and role in ("director", "anybody"):
                with CaptureQueriesContext(connection) as asked:
                    client.get(address)
                found[name] = partial(client.get, address), queries_in(asked)
    return found


def measure(engines: int) -> int:
    """Measure, fill, measure again and print; return how many screens ask for more than they may."""
    from tests.benchmarks.fleet_stage import fleet_fill

    few = times_of(looks())
    for line in fleet_fill(engines, RUNS_EACH):
        print(line, flush=True)
    crowded = looks()
    many = times_of(crowded)
    print(f"\n{'screen':<32} {'queries':>7} {'few engines':>14} {'all of them':>14} {'ratio':>8}")
    for name, (_, queries) in crowded.items():
        print(f"{name:<32} {queries:>7} {few[name]:>11.1f} ms {many[name]:>11.1f} ms {many[name] / few[name]:>8.2f}")
    return sum(queries > MOST_QUERIES for _, queries in crowded.values())


def main() -> None:
    """Do it on a database of its own in a temporary folder; exit with 1 where a screen asks for too much."""
    parser = ArgumentParser(description=__doc__)
    parser.add_argument("--engines", type=int, default=ENGINES)
    engines = parser.parse_args().engines
    with tempfile.TemporaryDirectory(prefix="embermark-fleet-") as folder:
        os.environ["EMBERMARK_DATABASE"] = f"sqlite:///{Path(folder) / 'fleet.sqlite3'}"
        os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
        django.setup()
        from django.core.management import call_command
        from django.db import connection
        from django.test.utils import setup_test_environment

        setup_test_environment()
        call_command("migrate", verbosity=0)
        connection.cursor().execute("PRAGMA synchronous=OFF")
        too_many = measure(engines)
        connection.close()
    raise SystemExit(1 if too_many else 0)


if __name__ == "__main__":
    main()
