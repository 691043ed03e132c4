"""Parts of 500 engines, 40 each, with ten years of runs: screens, the whole fleet, and recording a run, as ratios.

Each is measured with 1,000 runs in all and again with 1,000,000. Takes some minutes; ``--runs 40`` tries it out with
fewer for each engine.
"""

import os
import tempfile
from argparse import ArgumentParser
from collections.abc import Callable
from datetime import timedelta
from functools import partial
from pathlib import Path
from typing import Any

import django

ENGINES, PARTS, FEW, MANY = 500, 40, 2, 2000
YEARS = timedelta(days=3652)
BATCH = 10_000


def fleet_fill() -> tuple[list[Any], Any]:
    """Store the engines, their parts, where they ran, and limits; return the engines and a director."""
    from engines.actions import LimitFacts, limit_add
    from engines.models import Component, Engine, PartMovement, PartStay, UsagePoint
    from tests.factories import STARTED_AT, EngineFactory, PersonFactory

    first = EngineFactory.create(serial="B-0000")
    by = PersonFactory.create(operator=first.operator, role="director", username="bench")
    common = {"operator": first.operator, "engine_type": first.engine_type}
    engines = [first, *Engine.objects.bulk_create(Engine(serial=f"B-{k:04}", **common) for k in range(1, ENGINES))]
    for n in range(PARTS):
        for parameter, unit in (("equivalent_cycles", "count"), ("run_time", "s")):
            facts = LimitFacts(10**7, unit, "Invented chapter 5", "3")
            named = {"operator": first.operator, "part_number": f"P-{n:02}", "parameter": parameter}
            limit_add(**named, kind="life", facts=facts, by=by)
    begins = [STARTED_AT - YEARS - timedelta(days=1), STARTED_AT - YEARS / 2]
    for engine in engines:
        points = UsagePoint.objects.bulk_create(UsagePoint(engine=engine, at=at) for at in (*begins, None))
        parts = Component.objects.bulk_create(
            Component(operator=first.operator, part_number=f"P-{n:02}", serial=engine.serial) for n in range(PARTS)
        )
        lines = {"engine": engine, "kind": "fitted", "recorded_by": by}
        PartMovement.objects.bulk_create(
            PartMovement(component=part, at=begins[n % 2], position=str(n), **lines) for n, part in enumerate(parts)
        )
        PartStay.objects.bulk_create(
            PartStay(component=part, engine=engine, begin=points[n % 2], end=points[2]) for n, part in enumerate(parts)
        )
    return engines, by


def runs_fill(engines: list[Any], by: Any, each: int) -> None:
    """Store so many runs of each engine more, evenly over ten years, and count its points anew."""
    from engines.actions.stays import usage_rebuild
    from engines.models import Run
    from tests.factories import STARTED_AT

    used = {"run_time_s": 4000, "time_in_service_s": 3600, "starts": 1, "cycles": 1, "partial_cycles": 1}
    told = {"kind": "flight", "recorded_by": by, "request_digest": "0" * 64}
    for engine in engines:
        runs = (
            Run(operator_id=engine.operator_id, engine=engine, started_at=STARTED_AT - YEARS * k / each, **told, **used)
            for k in range(1, each + 1)
        )
        Run.objects.bulk_create(runs, batch_size=BATCH)
        usage_rebuild(engine)


def works_of(engines: list[Any], by: Any) -> dict[str, Callable[[], object]]:
    """Return what is measured, by its name."""
    from django.test import Client
    from django.urls import reverse
    from django.utils import timezone

    from engines.actions import run_record
    from engines.models import Component
    from engines.part_queries import statuses_of
    from tests.runs import facts

    client = Client()
    client.force_login(by)
    engine = engines[len(engines) // 2]
    part = Component.objects.filter(serial=engine.serial).earliest("pk")
    return {
        "parts of an engine": partial(client.get, reverse("part_list", args=[engine.pk])),
        "a part followed": partial(client.get, reverse("part_detail", args=[part.pk])),
        "all parts, a page": partial(client.get, reverse("part_index")),
        "status of every part": lambda: statuses_of(Component.objects.all(), timezone.localdate()),
        "recording a run": lambda: run_record(engine=engine, facts=facts(typed_cycles=1), by=by),
        "recording a run ten years late": lambda: run_record(
            engine=engine, facts=facts(typed_cycles=1, started_at=facts().started_at - YEARS), by=by
        ),
    }


def measured(works: dict[str, Callable[[], object]]) -> dict[str, tuple[float, int]]:
    """Return the median time of each and its queries. [ms]"""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    from tests.benchmarks.timing import medians
    from tests.walk import queries_in

    queries = {}
    for name, work in works.items():
        with CaptureQueriesContext(connection) as asked:
            work()
        queries[name] = queries_in(asked)
    times = medians(*works.values(), rounds=3)
    return {name: (taken, queries[name]) for name, taken in zip(works, times, strict=True)}


def main() -> None:
    """Do it on a database of its own in a temporary folder, and print a line for each."""
    parser = ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=MANY, help="of each engine")
    many = parser.parse_args().runs
    with tempfile.TemporaryDirectory(prefix="embermark-parts-") as folder:
        os.environ["EMBERMARK_DATABASE"] = f"sqlite:///{Path(folder) / 'parts.sqlite3'}"
        os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
        django.setup()
        from django.core.management import call_command
        from django.test.utils import setup_test_environment

        setup_test_environment()
        call_command("migrate", verbosity=0)
        engines, by = fleet_fill()
        runs_fill(engines, by, FEW)
        few = measured(works_of(engines, by))
        runs_fill(engines, by, many - FEW)
        crowded = measured(works_of(engines, by))
    print(f"{'':<32} {'queries':>7} {ENGINES * FEW:>11,} runs {ENGINES * many:>11,} runs {'ratio':>8}")
    for name, (taken, queries) in crowded.items():
        print(f"{name:<32} {queries:>7} {few[name][0]:>13.1f} ms {taken:>13.1f} ms {taken / few[name][0]:>8.2f}")


if __name__ == "__main__":
    main()
