"""A record that comes back to an owner who had it before: what it must not contradict, and its parts that return."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from io import BytesIO
from typing import TYPE_CHECKING, Any, cast

from django.utils import timezone

from engines.actions.owners import Return, part_return, used_less
from engines.errors import DomainError
from engines.models import Component, Engine, Operator, PartMovement
from engines.part_queries import off_since
from engines.queries import engine_times
from engines.times import Times
from logbook.handover.errors import PackageError
from logbook.handover.giving import handover_of
from logbook.ledger.check_package import Archive, check
from logbook.ledger.keys import key_name
from logbook.ledger.notes import vkey_encode
from logbook.ledger.store import root_now, size_of

if TYPE_CHECKING:
    from logbook.handover.importing import Incoming
    from logbook.handover.loading import Loading, Row
    from logbook.models import Entry, Person


@dataclass
class Returning:
    """What a package has to do with what its owner-to-be had before."""

    operator: Operator
    incoming: Incoming
    record: dict[str, Any]

    def check(self) -> None:
        """Refuse a record of what is here, or one that contradicts what was handed over.

        Raises DomainError "serial_taken" for an engine or a part that was not handed over, PackageError where it has
        used less than when it went, or where a package of this owner in it does not stand in this owner's ledger.
        """
        for row in self._rows("engines"):
            if self.operator.engines.filter(serial=row["serial"], left_at=None).exists():
                words = f"There is already an engine with serial {row['serial']}, which was not handed over."
                raise DomainError(words, code="serial_taken")
        for part, row in self._parts():
            gone = off_since(part)
            if gone is None or gone.kind != PartMovement.Kind.LEFT:
                words = f"There is already a part {row['part_number']} with serial {row['serial']}, which did not go."
                raise DomainError(words, code="serial_taken")
        if self.engine is not None:
            less = used_less(Times(**self.incoming.manifest["times"]), engine_times(self.engine))
            if less:
                raise PackageError(f"It went with more than it comes back with: {', '.join(less)}.")
        for archive in self._own_packages(self.incoming.archive):
            self._stands_in_ledger(archive)

    @cached_property
    def engine(self) -> Engine | None:
        """Return the engine as it was here last, if it was."""
        serials = [row["serial"] for row in self._rows("engines")]
        return self.operator.engines.filter(serial__in=serials).order_by("left_at").last()

    def told(self) -> dict[str, Any]:
        """Return what the entry says of what comes back; nothing where it was never here."""
        entry = self._handover()
        back = [str(part) for part, _ in self._parts()]
        found: dict[str, Any] = {"parts_back": back} if back else {}
        if entry is None:
            return found
        handed = entry.body["handed"]
        is_in_it = handed["package_sha256"] in {sha256 for sha256, _ in _within(self.incoming.archive)}
        told = {"entry": entry.number, "to": handed["to"], "on": handed["on"], "is_in_it": is_in_it}
        return {**found, "returns": told}

    def _handover(self) -> Entry | None:
        if self.engine is not None:
            return handover_of(self.engine, None)
        if self.incoming.about["kind"] == "engine":
            return None
        part = next((part for part, _ in self._parts()), None)
        return None if part is None else handover_of(None, part)

    def parts_return(self, loading: Loading, by: Person) -> None:
        """Record that the parts which were here before came back, with what they had used by then."""
        at = timezone.now()
        for row in self._rows("components"):
            part = cast(Component, loading.made["components"][row["id"]])
            gone = off_since(part)
            if gone is not None and gone.kind == PartMovement.Kind.LEFT:
                used = Times(**self.record["lives"][str(row["id"])])
                document = f"Package {self.incoming.sha256}"
                told = Return(at, used, loading.owner, document, PartMovement.Control.RECORD)
                part_return(component=part, told=told, by=by)
                loading.back[row["id"]] = at

    def _rows(self, table: str) -> list[Row]:
        rows: list[Row] = self.record["tables"][table]
        return rows

    def _parts(self) -> Iterator[tuple[Component, Row]]:
        """Yield the operator's own parts that are in the record, each with its row."""
        for row in self._rows("components"):
            part = self.operator.components.filter(part_number=row["part_number"], serial=row["serial"]).first()
            if part is not None:
                yield part, row

    def _own_packages(self, archive: Archive) -> Iterator[Archive]:
        """Yield the packages within one that this owner sealed, however deep."""
        name = key_name(self.operator)
        keys = {vkey_encode(name, bytes.fromhex(key.public)) for key in self.operator.ledger_keys.all()}
        return (inner for _, inner in _within(archive) if inner.json("manifest.json")["key"] in keys)

    def _stands_in_ledger(self, archive: Archive) -> None:
        """Hold a package of this owner against this owner's ledger."""
        _, point, _ = check(archive.file)
        if point.size > size_of(self.operator) or root_now(self.operator, point.size) != point.root:
            raise PackageError(
                f"A package in it, sealed here at {point.size} entries, does not stand in the ledger of this owner."
            )


def _within(archive: Archive) -> Iterator[tuple[str, Archive]]:
    """Yield the packages within a package with their SHA-256, those within them too."""
    for name in archive.members:
        if name.startswith("received/"):
            data = archive.read(name)
            inner = Archive(BytesIO(data))
            yield hashlib.sha256(data).hexdigest(), inner
            yield from _within(inner)
