"""Documents that work was done to: kept by their copies, handed over with the record, and kept by the next owner."""

import hashlib
import json
import zipfile
from io import BytesIO
from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.db import connection
from django.test import Client
from django.urls import reverse

from engines.errors import TraceError
from engines.models import Engine
from logbook.handover.errors import PackageError
from logbook.ledger.check_package import Mismatch, check
from logbook.ledger.evidence import evidence_check
from logbook.ledger.guards import guards_lift, guards_set
from logbook.ledger.lots import LedgerBroken
from logbook.maintenance.publications import on_file_of, publication_add, publication_put
from logbook.maintenance.rules import rules_choose
from logbook.maintenance.sections import sections_of
from logbook.models import Entry, Person, Publication
from logbook.statements.coverage import POWERPLANT
from tests.factories import CertificateFactory
from tests.logbook.handover.owners import taken
from tests.logbook.handover.records import packed_of
from tests.logbook.handover.test_importing import resealed
from tests.logbook.maintenance.kit import certified, opened, signed
from tests.logbook.screen_kit import signed_in, words

COPY = b"%PDF-1.7 invented, of no engine there is"
DIGEST = hashlib.sha256(COPY).hexdigest()
TITLE = "Invented maintenance manual 72-00"  # as the work of the kit names it, to its revision 9


def put(by: Person, revision: str = "9", copy: bytes = COPY, title: str = TITLE) -> Publication:
    """Put a copy on file."""
    file = ContentFile(copy, "manual.pdf")
    return publication_add(title=title, revision=revision, dated=None, by=by, file=file)


@pytest.fixture
def entry(engine: Engine, mechanic: Person, director: Person) -> Entry:
    """Return signed work to a document of which a copy is kept, since when a newer revision is on file."""
    rules_choose(by=director, ruleset="us")
    certified(mechanic, POWERPLANT)
    put(director)
    made = signed(opened(engine, mechanic), mechanic)
    put(director, "10", b"the newer revision")
    put(director, "1", b"of something else", "Another invented manual")
    return made


def test_r_43_13_a_an_entry_tells_the_copy_of_the_revision_that_its_work_was_done_to(
    entry: Entry, engine: Engine, mechanic: Person
) -> None:
    assert entry.body["work"]["data"]["file"] == {"name": "manual.pdf", "sha256": DIGEST}
    rows = dict(row for section in sections_of(entry.body) for row in section.rows)
    assert rows["Copy on file"] == f"manual.pdf, SHA-256 {DIGEST}"
    other = signed(opened(engine, mechanic, data_revision="8"), mechanic)
    assert "file" not in other.body["work"]["data"]


def test_r_43_13_a_documents_go_with_the_record_and_are_kept_by_the_next_owner(
    entry: Entry, engine: Engine, director: Person, stranger: Person, client: Client
) -> None:
    data = packed_of(engine, director)
    with zipfile.ZipFile(BytesIO(data)) as archive:
        assert [name for name in archive.namelist() if name.startswith("documents/")] == [f"documents/{DIGEST}"]
        assert archive.read(f"documents/{DIGEST}") == COPY
        assert json.loads(archive.read("receipt.json"))["counts"]["documents"] == 1
    assert check(BytesIO(data))[2] == 1
    CertificateFactory.create(person=stranger)
    package = taken(data, stranger)
    (came,) = package.publications.all()
    assert (came.title, came.revision, came.sha256, came.operator) == (TITLE, "9", DIGEST, stranger.operator)
    assert on_file_of(stranger.operator_id, TITLE) is None
    screen = reverse("publication_list")
    assert f"{TITLE} 9" in words(signed_in(client, stranger).get(screen))
    assert client.post(screen, {"came": came.pk}).status_code == 302
    on_file = on_file_of(stranger.operator_id, TITLE)
    assert on_file is not None
    assert on_file.file.name == came.file.name
    sent = client.get(reverse("publication_file", args=[on_file.pk]))
    assert (b"".join(sent), sent["Content-Disposition"]) == (COPY, 'attachment; filename="manual.pdf"')
    assert "is on file" in words(client.post(screen, {"came": came.pk}))
    assert client.get(reverse("publication_file", args=[Publication.objects.first().pk])).status_code == 404
    assert evidence_check(stranger.operator) == 2


def test_what_came_without_a_copy_is_put_on_file_without_one(entry: Entry, director: Person) -> None:
    came = Publication(operator=director.operator, title="Card", revision="2", by=director)
    assert publication_put(came, director).sha256 == ""


def test_a_changed_byte_of_a_copy_is_named(entry: Entry, engine: Engine, director: Person) -> None:
    data = packed_of(engine, director)
    at = data.index(COPY)
    with pytest.raises(Mismatch, match=f"documents/{DIGEST} is damaged"):
        check(BytesIO(data[:at] + b"&" + data[at + 1 :]))
    path = Path(Publication.objects.get(sha256=DIGEST).file.path)
    path.write_bytes(COPY[:-1])
    with pytest.raises(LedgerBroken, match=f"The copy of {TITLE}, revision 9 .* is not the one that was kept"):
        evidence_check(engine.operator)
    with pytest.raises(TraceError, match="is not the one that was kept"):
        packed_of(engine, director)


def test_a_copy_that_an_entry_tells_and_nobody_keeps_is_missed(entry: Entry, engine: Engine) -> None:
    guards_lift(connection)
    Publication.objects.filter(sha256=DIGEST)._raw_delete("default")
    guards_set(connection)
    with pytest.raises(LedgerBroken, match=f"The document {DIGEST}, which entry 1 was done to, is no longer kept"):
        evidence_check(engine.operator)


def test_a_document_that_cannot_be_kept_refuses_the_package(
    entry: Entry, engine: Engine, director: Person, stranger: Person
) -> None:
    CertificateFactory.create(person=stranger)
    told = f'"title":"{TITLE}"'.encode()
    data = resealed(packed_of(engine, director), {"record.json": (told, b'"title":""')}, stranger)
    with pytest.raises(PackageError, match="A document of the record can't be kept"):
        taken(data, stranger)
    assert not Publication.objects.exclude(received=None).exists()


def test_an_entry_that_came_and_was_changed_since_is_named(
    entry: Entry, engine: Engine, director: Person, stranger: Person
) -> None:
    CertificateFactory.create(person=stranger)
    taken(packed_of(engine, director), stranger)
    guards_lift(connection)
    with connection.cursor() as cursor:
        cursor.execute("UPDATE logbook_receivedentry SET document = replace(document, 'Invented', 'Other')")
    guards_set(connection)
    with pytest.raises(LedgerBroken, match="Entry 1 that came with engine TB-0001, .* is not what was signed there"):
        evidence_check(stranger.operator)
