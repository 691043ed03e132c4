"""A record that came from another owner, with many entries."""

from django.core.files.base import ContentFile
from django.utils import timezone

from engines.actions import part_send
from engines.models import Component, Engine
from logbook.maintenance.copies import copy_store
from logbook.models import Entry, Person, Publication, ReceivedEntry, ReceivedPackage
from tests.factories import ComponentFactory
from tests.signed import entry_made


def package_received(engine: Engine, entry: Entry, by: Person, rows: int) -> ReceivedPackage:
    """Return the newest of many packages that were taken in; its entries are of nobody's ledger."""
    for k in range(rows):
        package = ReceivedPackage(
            operator_id=engine.operator_id, engine=engine, entry=entry, sha256=f"{k:064}", title="engine TB-0001",
            origin="embermark/ledger/9", owner=f"Owner {k}", key="embermark/ledger/9+00000000+AA", size=rows,
            root="0" * 64, made_at=timezone.now(), received_by=by,
        )  # fmt: skip
        package.file.save("package.zip", ContentFile(b"no package"), save=False)
        package.save(force_insert=True)
    for k in range(1, rows + 1):
        ReceivedEntry.objects.create(
            package=package, number=k, kind="run", title="Flight recorded", completed_on=entry.completed_on,
            document=entry.document.decode(), leaf_hash=entry.leaf_hash, path=[],
        )  # fmt: skip
    return package


def documents_came(package: ReceivedPackage, by: Person, rows: int) -> Publication:
    """Return the newest of many documents on file, each of which came with a package too; it has a copy."""
    for k in range(rows):
        for received in (package, None):
            copy = ContentFile(f"invented {k}".encode(), "manual.pdf")
            row = Publication(operator_id=package.operator_id, title=f"Invented manual {k}", revision="1", by=by)
            vars(row).update(received_id=received and received.pk, **copy_store(package.operator_id, copy))
            row.save(force_insert=True)
    return row


def handed_over(engine: Engine, by: Person) -> Entry:
    """Return an entry that says that an engine's record was handed over; the engine is still here."""
    handed = {"to": "Owner 1", "on": "2026-05-05", "custody": "all_go", "form": "packed", "available": "Testholm"}
    body = {"kind": "handover", "title": "Record handed over", "times": {}, "engine": {}, "handed": handed}
    return entry_made(engine, body, by, timezone.localdate(), kind=Entry.Kind.HANDOVER)


def part_gone(engine: Engine, by: Person) -> Component:
    """Return a part that was sent to another owner."""
    part: Component = ComponentFactory.create(operator=engine.operator, brought_starts=3)
    part_send(component=part, to="Owner 1", at=timezone.now(), by=by)
    return part
