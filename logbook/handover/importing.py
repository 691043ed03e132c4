"""Taking a package in: looked at first, then written whole or not at all."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime
from io import BytesIO
from typing import Any, BinaryIO, Final, cast

from django.core.files.base import ContentFile, File
from django.db import IntegrityError, transaction
from django.db.models.fields.files import FieldFile
from django.utils import timezone

from engines.actions import part_fit
from engines.actions.stays import point_at, usage_rebuild
from engines.models import Component, Engine, Operator, PartLimit, RunTrace, TaskRecord
from engines.queries import engine_times
from engines.trace_codec import trace_pack
from inspections.actions import starts_rebuild
from inspections.models import Judgement
from logbook.actions import certificate_check, text_check
from logbook.first_start_asking import asked_by_coming
from logbook.handover.documents import documents_keep, whole_file
from logbook.handover.errors import PackageError
from logbook.handover.loading import Loading, Row
from logbook.handover.photos import photo_received
from logbook.handover.returning import Returning
from logbook.handover.traces import trace_recording
from logbook.handover.words import received_rows
from logbook.ledger import tree
from logbook.ledger.check_package import Archive, Checkpoint, Mismatch, check
from logbook.ledger.store import entry_seal
from logbook.models import Discrepancy, DiscrepancyLine, Entry, Person, Photo
from logbook.received import ReceivedEntry, ReceivedPackage
from logbook.signing import Signing, signed_body

CHUNK: Final = 1 << 20
MEANING: Final = "I took this record in as it was handed over. It approves nothing for return to service."
TITLE: Final = "Record received"
BASIS: Final = "As handed over by {owner} on {day}, by their signed record."


@dataclass(frozen=True)
class Incoming:
    """A package in which everything matches, before anything of it is stored."""

    archive: Archive
    manifest: dict[str, Any]
    checkpoint: Checkpoint
    sha256: str
    receipt: dict[str, Any]
    is_key_given: bool = False

    @property
    def made_at(self) -> datetime:
        """Return when it was made."""
        return datetime.fromisoformat(self.manifest["made_at"])

    @property
    def about(self) -> dict[str, Any]:
        """Return what it is the record of."""
        own: dict[str, Any] = self.manifest["about"]
        return own


def package_look(file: BinaryIO, key: str = "") -> Incoming:
    """Return what is in a package; PackageError, saying what, where something does not match."""
    try:
        manifest, checkpoint, _ = check(file, key)
        archive = Archive(file)
        receipt = archive.json("receipt.json")
        for name in ("title", "operator", "made_at", "about", "times"):
            manifest[name]
    except Mismatch as error:
        raise PackageError(str(error)) from error
    except KeyError as error:
        raise PackageError(f"The manifest does not say {error}.") from error
    file.seek(0)
    digest = hashlib.sha256()
    while piece := file.read(CHUNK):
        digest.update(piece)
    return Incoming(archive, manifest, checkpoint, digest.hexdigest(), receipt, bool(key.strip()))


def package_import(
    file: BinaryIO, *, operator: Operator, by: Person, signing: Signing, read: str = "", key: str = ""
) -> ReceivedPackage:
    """Take a package in for an operator; the same one again changes nothing.

    ``read`` is the hash of the text that was read, where a person read one, ``key`` the owner's key where the owner
    gave it. Raises PackageError "package_refused" where something does not match, DomainError "serial_taken" where the
    operator has an engine or a part of that serial which was not handed over, "certificate_not_valid", and
    "text_changed" where the text is another than was read.
    """
    certificate_check(by, signing.certificate, timezone.localdate())
    incoming = package_look(file, key)
    with _files_kept_if_done() as keep, transaction.atomic():
        Operator.objects.select_for_update().get(pk=operator.pk)
        known = ReceivedPackage.objects.filter(operator=operator, sha256=incoming.sha256).first()
        if known is not None:
            return known
        try:
            return _Import(incoming, operator, by, keep).run(file, signing, read)
        except Mismatch as error:
            raise PackageError(str(error)) from error
        except (LookupError, TypeError, ValueError, AttributeError, IntegrityError) as error:
            raise PackageError(f"The record is not of the form that it says: {error!r}.") from error


class _Keep:
    """Stores files, and takes them away again where the work they are part of fails."""

    def __init__(self) -> None:
        self.stored: list[FieldFile] = []

    def __call__(self, field: FieldFile, name: str, content: File[bytes]) -> None:
        # Names are of this operator's record alone: one that is there was left where a taking in was cut off.
        field.storage.delete(field.field.generate_filename(field.instance, name))
        field.save(name, content, save=False)
        self.stored.append(field)


@contextmanager
def _files_kept_if_done() -> Iterator[_Keep]:
    keep = _Keep()
    try:
        yield keep
    except BaseException:
        for field in keep.stored:
            field.storage.delete(str(field.name))
        raise


@dataclass
class _Import:
    """One taking in, in its transaction."""

    incoming: Incoming
    operator: Operator
    by: Person
    keep: _Keep

    def run(self, file: BinaryIO, signing: Signing, read: str) -> ReceivedPackage:
        """Write everything, and return the package as it is kept."""
        record = self.incoming.archive.json("record.json")
        body = received_body(self.incoming, self.operator, self.by)
        returning = Returning(self.operator, self.incoming, record)
        returning.check()
        loading = Loading(self.operator, record, self.incoming.manifest["operator"])
        loading.load(
            {
                "traces": self._trace_keep,
                "photos": self._photo_keep,
                "components": self._part_opened,
                "part_limits": self._limit_narrowed,
            }
        )
        engine = cast("Engine | None", loading.one("engines"))
        if engine is not None:
            usage_rebuild(engine)
            self._points_make(loading, engine)
            starts_rebuild(Judgement.objects.filter(run__engine=engine, is_current=True))
        returning.parts_return(loading, self.by)
        self._parts_fit(loading, record, engine)
        part = None if engine else cast("Component | None", loading.one("components"))
        self._times_check(engine)
        at = timezone.now().replace(microsecond=0)
        entry = entry_seal(
            operator_id=self.operator.pk,
            body=self._text(body, signing, read, at),
            kind=Entry.Kind.OPENING,
            engine=engine,
            component=part,
            completed_on=timezone.localdate(at),
            signed_by=self.by,
            signed_at=at,
        )
        self._unsettled_open(record, entry, engine)
        if engine is not None:
            asked_by_coming(engine, self.incoming.manifest["operator"], at, self.by)
        return _Keeping(entry, engine, part, self.keep).packages_keep(file, self.incoming)

    def _points_make(self, loading: Loading, engine: Engine) -> None:
        """Keep what the engine stood at when its tasks were done, so that it follows its runs here too."""
        lines = [cast(TaskRecord, line) for line in loading.made["task_records"].values()]
        for until in {line.until for line in lines if line.engine_id is not None} - {None}:
            point_at(engine, until)

    def _text(self, body: dict[str, Any], signing: Signing, read: str, at: datetime) -> dict[str, Any]:
        text = signed_body(body, self.by, signing, at)
        text_check(text, read)
        return text

    def _trace_keep(self, loading: Loading, row: Row, made: Any) -> None:
        """Store a recorded file, and its samples as they were judged."""
        archive, trace = self.incoming.archive, cast(RunTrace, made)
        recording = trace_recording(archive.read(f"samples/{int(row['id'])}.csv.gz"), row)
        packed = trace_pack(recording)
        trace.packed_sha256 = hashlib.sha256(packed).hexdigest()
        name = f"{trace.run_id}-{trace.original_sha256[:12]}"
        with whole_file(archive, f"traces/{trace.original_sha256}") as original:
            self.keep(trace.original, f"{name}-original", original)
        self.keep(trace.packed, f"{name}-{trace.packed_sha256[:12]}-packed", ContentFile(packed))

    def _photo_keep(self, loading: Loading, row: Row, made: Any) -> None:
        """Store a photo as it was kept, and a small picture of it."""
        photo_received(cast(Photo, made), self.incoming.archive.read(f"photos/{row['sha256']}"))

    def _part_opened(self, loading: Loading, row: Row, made: Any) -> None:
        """Let a part begin with what it had used when it was handed over."""
        for name, amount in loading.record["lives"][str(row["id"])].items():
            setattr(made, f"brought_{name}", amount)
        made.opening_basis = BASIS.format(owner=loading.owner, day=self.incoming.manifest["made_at"][:10])
        made.opening_document = f"Package {self.incoming.sha256}"

    def _limit_narrowed(self, loading: Loading, row: Row, made: Any) -> None:
        """Let a limit that came with a part be of that part alone, beside whatever the operator has itself.

        It replaces none that is of other parts too, or that was replaced here.
        """
        parts = loading.made["components"].values()
        serials = [part.serial for part in parts if part.part_number == made.part_number]  # type: ignore[attr-defined]
        if len(serials) == 1:
            made.serial = serials[0]
        old = made.replaces if made.replaces_id is not None else None
        if old is not None and (old.serial != made.serial or PartLimit.objects.filter(replaces=old).exists()):
            made.replaces = None

    def _parts_fit(self, loading: Loading, record: dict[str, Any], engine: Engine | None) -> None:
        """Fit the parts where they were, from when the record was packed; what they used until then they brought."""
        at = datetime.fromisoformat(record["as_of"])
        for place in sorted(record["places"], key=lambda one: one["parent"] is not None):
            parent = loading.made["components"].get(place["parent"])
            if parent is None and not (place["on_engine"] and engine is not None):
                continue
            part_fit(
                component=cast(Component, loading.made["components"][place["component"]]),
                at=loading.back.get(place["component"], at),
                by=self.by,
                engine=None if parent else engine,
                parent=cast("Component | None", parent),
                position=place["position"],
            )

    def _unsettled_open(self, record: dict[str, Any], entry: Entry, engine: Engine | None) -> None:
        """Open what was open or deferred when the engine was handed over, by the entry that it was taken in."""
        last = max(self.operator.discrepancies.values_list("number", flat=True), default=0)
        for number, told in enumerate(record["unsettled"], last + 1):
            about = {"operator": self.operator, "engine": engine, "entry": entry, "number": number}
            due_on = date.fromisoformat(told["due_on"]) if told.get("due_on") else None
            row = Discrepancy(text=told["text"], basis=told["basis"], **about)
            row.save(force_insert=True)
            names = ("state", "words", "deferral", "placard_by")
            on = date.fromisoformat(told["placard_on"]) if told["placard_on"] else None
            kept = {"placard_on": on, "due_on": due_on}
            line = DiscrepancyLine(discrepancy=row, entry=entry, **kept, **{name: told[name] for name in names})
            line.full_clean()
            line.save(force_insert=True)

    def _times_check(self, engine: Engine | None) -> None:
        if engine is not None and dict(vars(engine_times(engine))) != self.incoming.manifest["times"]:
            raise PackageError("The runs of the record do not add up to the times that its manifest states.")


def received_body(incoming: Incoming, operator: Operator, by: Person) -> dict[str, Any]:
    """Return the text of the receiver's own entry about a package, before it is signed."""
    manifest, checkpoint, counts = incoming.manifest, incoming.checkpoint, incoming.receipt["counts"]
    record = incoming.archive.json("record.json")
    tables = record["tables"]
    about = manifest["about"]
    received = {
        "package_sha256": incoming.sha256,
        "owner": manifest["operator"],
        "origin": checkpoint.origin,
        "key": manifest["key"],
        "size": checkpoint.size,
        "root": checkpoint.root.hex(),
        "made_at": manifest["made_at"],
        "counts": counts,
        "by": f"{by} for {operator.name}",
        "is_key_given": incoming.is_key_given,
        **Returning(operator, incoming, record).told(),
    }
    body = {
        "kind": "opening",
        "title": TITLE,
        "operator": operator.name,
        "place": operator.place,
        "is_demo": operator.is_demo or bool(manifest["is_demo"]),
        "times": manifest["times"],
        "received": received,
    }
    if about["kind"] == "engine":
        row = tables["engines"][0]
        own = {name: row[name] for name in ("serial", "fitted_to", "position")}
        return body | {"engine": own | {"type": tables["engine_types"][0]["name"]}}
    part = [("Part number", about["part_number"]), ("Serial", about["serial"]), *received_rows(received)]
    return body | {"part": [list(row) for row in part]}


@dataclass
class _Keeping:
    """Keeps packages whole beside what was written from them, and their entries with their proofs."""

    entry: Entry
    engine: Engine | None
    part: Component | None
    keep: _Keep

    def packages_keep(
        self, file: BinaryIO, incoming: Incoming, within: ReceivedPackage | None = None
    ) -> ReceivedPackage:
        """Keep a package, and those in it by which the record came to whoever handed it over."""
        package = self._package(file, incoming, within)
        self._entries_add(package, incoming.archive)
        documents_keep(package, incoming.archive)
        for name in incoming.archive.members:
            inner = BytesIO(incoming.archive.read(name)) if name.startswith("received/") else None
            if inner is not None and not self._is_kept(name):
                self.packages_keep(inner, package_look(inner), package)
        return package

    def _is_kept(self, name: str) -> bool:
        """Return whether a package within one was taken in before, as where a record comes back again."""
        own = ReceivedPackage.objects.filter(operator=self.entry.operator_id)
        return own.filter(sha256=name.removeprefix("received/").removesuffix(".zip")).exists()

    def _package(self, file: BinaryIO, incoming: Incoming, within: ReceivedPackage | None) -> ReceivedPackage:
        manifest, checkpoint = incoming.manifest, incoming.checkpoint
        package = ReceivedPackage(
            operator_id=self.entry.operator_id,
            engine=self.engine,
            component=self.part,
            entry=self.entry,
            within=within,
            sha256=incoming.sha256,
            title=manifest["title"],
            origin=checkpoint.origin,
            owner=manifest["operator"],
            key=manifest["key"],
            size=checkpoint.size,
            root=checkpoint.root.hex(),
            made_at=datetime.fromisoformat(manifest["made_at"]),
            received_by_id=self.entry.signed_by_id,
        )
        file.seek(0)
        self.keep(package.file, f"{self.entry.operator_id}-{incoming.sha256}.zip", File(file))
        package.save(force_insert=True)
        return package

    def _entries_add(self, package: ReceivedPackage, archive: Archive) -> None:
        for proof in archive.json("proofs.json")["entries"]:
            data = archive.read(proof["file"])
            document = json.loads(data)
            ReceivedEntry.objects.create(
                package=package,
                number=proof["index"] + 1,
                kind=document["kind"],
                title=str(document["body"].get("title", ""))[:240],
                completed_on=date.fromisoformat(document["completed_on"]),
                document=data.decode(),
                leaf_hash=tree.leaf_hash(data).hex(),
                path=proof["path"],
            )
