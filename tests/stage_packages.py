"""A record that came from another owner, with many entries."""

from django.core.files.base import ContentFile
from django.utils import timezone

from engines.models import Engine
from logbook.models import Entry, Person, ReceivedEntry, ReceivedPackage


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
