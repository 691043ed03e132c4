"""A full check of the ledger against hashing the same bytes, and adding an entry to a long and to a short ledger."""

import uuid
from collections.abc import Iterator
from datetime import UTC, datetime
from functools import partial
from hashlib import sha256
from itertools import islice

from django.db import transaction

from engines.models import Engine
from logbook.ledger import tree
from logbook.ledger.canonical import canonical
from logbook.ledger.checking import ledger_check
from logbook.ledger.rows import Entry, LedgerNode
from logbook.ledger.store import checkpoint_make, entry_seal
from logbook.models import Person
from tests.benchmarks.timing import Ratio, medians
from tests.factories import EngineFactory, PersonFactory

ENTRIES, BATCH = 200_000, 2_000
# As long as the entry of a judged run of an hour is, with its verdict, its working and its signature.
BODY_BYTES = 5_000
AT = datetime(2026, 5, 4, 8, 0, tzinfo=UTC)


def filled(engine: Engine, by: Person, count: int) -> None:
    """Store so many entries with the hashes over them, in bulk."""
    growing = tree.GrowingTree()
    words = "x" * (BODY_BYTES - 100)
    for first in range(1, count + 1, BATCH):
        rows, nodes = [], []
        for number in range(first, min(first + BATCH, count + 1)):
            entry = Entry(
                id=uuid.uuid4(),
                operator_id=engine.operator_id,
                number=number,
                kind=Entry.Kind.RUN,
                engine=engine,
                completed_on=AT.date(),
                content=canonical({"title": f"Run {number}", "words": words}),
                signed_by=by,
                signed_at=AT,
            )
            leaf = tree.leaf_hash(entry.document)
            entry.leaf_hash = leaf.hex()
            rows.append(entry)
            nodes += [
                LedgerNode(operator_id=engine.operator_id, level=level, index=index, hash=digest.hex())
                for level, index, digest in growing.append(leaf)
            ]
        with transaction.atomic():
            Entry.objects.bulk_create(rows)
            LedgerNode.objects.bulk_create(nodes)


def hashed(documents: list[bytes]) -> None:
    """Hash documents, and nothing else."""
    for document in documents:
        sha256(document).digest()


def ratios() -> Iterator[Ratio]:
    """Yield what a check costs beside bare hashing, and what an entry costs in a long ledger beside a short one."""
    long, short = EngineFactory.create(), EngineFactory.create()
    by = PersonFactory.create(operator=long.operator)
    filled(long, by, ENTRIES)
    filled(short, by, BATCH)
    for engine in (long, short):
        checkpoint_make(engine.operator)
    sample = [entry.document for entry in islice(long.operator.entries.iterator(), 20_000)]
    per = ENTRIES / len(sample)
    for name, processes in (("one process", 1), ("two at once", 2)):
        check, bare = medians(
            partial(ledger_check, long.operator, processes=processes), lambda: hashed(sample), rounds=3
        )
        yield Ratio(f"full check of the ledger, {name} : hashing its bytes", check, bare * per, "at most 2")

    def add(engine: Engine) -> None:
        with transaction.atomic():
            for _ in range(20):
                entry_seal(
                    operator_id=engine.operator_id,
                    body={"title": "One more"},
                    kind=Entry.Kind.RUN,
                    engine=engine,
                    completed_on=AT.date(),
                    signed_by=by,
                    signed_at=AT,
                )

    many, few = medians(lambda: add(long), lambda: add(short))
    yield Ratio(f"an entry after {ENTRIES:,} to one after {BATCH:,}", many, few, "about 1")
