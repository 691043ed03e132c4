"""Handing a record over on the site, and taking one in: looked at first, then signed."""

import re
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.conf import LazySettings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from engines.models import Component, Engine, Run
from logbook.access import DIRECTOR
from logbook.handover import jobs
from logbook.handover.importing import package_look
from logbook.models import Entry, PackageJob, Person, ReceivedPackage, Unsigned
from tests.built import built_once, own
from tests.factories import PersonFactory
from tests.logbook.handover.owners import handed, taken
from tests.logbook.handover.records import packed_of, record_stored
from tests.logbook.printing.reading import text_of
from tests.logbook.screen_kit import PASSWORD, signed_in, words


@pytest.fixture(autouse=True)
def folder(settings: LazySettings, tmp_path: Path) -> Path:
    """Keep packages apart."""
    settings.PACKAGES_DIR = tmp_path / "packages"
    return tmp_path / "packages"


built = built_once(record_stored)
operator, engine, mechanic, director = map(own, ("operator", "engine", "mechanic", "director"))


@pytest.fixture
def record(engine: Engine) -> Engine:
    """Return an engine with a whole record."""
    return engine


@pytest.fixture
def data(record: Engine, director: Person) -> bytes:
    """Return its package."""
    return packed_of(record, director)


def made(client: Client, record: Engine) -> PackageJob:
    """Ask for the package of an engine."""
    answer: Any = client.post(reverse("package_make", args=[record.pk]))
    job = PackageJob.objects.latest("asked_at")
    assert answer.url == reverse("package_job", args=[job.pk])
    return job


def sent(client: Client, data: bytes, key: str = "") -> Any:
    """Send a package to be looked at."""
    file = SimpleUploadedFile("package.zip", data, content_type="application/zip")
    return client.post(reverse("package_add"), {"file": file, "key": key})


def signed(client: Client, address: str, person: Person, *, password: str = PASSWORD, read: str | None = None) -> Any:
    """Read what is to be signed, then sign it."""
    certificate = person.certificates.get().pk
    shown = client.post(address, {"certificate": certificate})
    mark = re.search(r'name="read" value="(\w+)"', shown.content.decode())
    said = (mark[1] if mark else "") if read is None else read
    return client.post(address, {"certificate": certificate, "stage": "sign", "read": said, "password": password})


def test_the_director_has_a_record_packed(client: Client, record: Engine, director: Person) -> None:
    signed_in(client, director)
    assert "Pack the record for the next owner" in words(client.get(reverse("engine_record", args=[record.pk])))
    job = made(client, record)
    assert made(client, record) == job
    assert "Waiting." in words(client.get(reverse("package_job", args=[job.pk])))
    assert "Waiting." in words(client.get(reverse("package_job_file", args=[job.pk]), follow=True))
    jobs.PACKAGES.run(job.pk)
    job.refresh_from_db()
    assert (job.state, job.done, job.steps) == ("done", 6, 6)
    assert "Keep the package" in words(
        client.get(reverse("package_job", args=[job.pk]), headers={"HX-Request": "true"})
    )
    answer: Any = client.get(reverse("package_job_file", args=[job.pk]))
    incoming = package_look(BytesIO(b"".join(answer.streaming_content)))
    assert incoming.manifest["made_by"] == str(director)
    signed_in(client, PersonFactory.create(operator=director.operator, role=DIRECTOR))
    assert client.get(reverse("package_job", args=[job.pk])).status_code == 404


def test_a_part_is_packed_alone_once_it_has_an_entry(client: Client, record: Engine, director: Person) -> None:
    signed_in(client, director)
    part = Component.objects.get(operator=record.operator)
    client.post(reverse("part_package_make", args=[part.pk]))
    job = PackageJob.objects.get()
    jobs.PACKAGES.run(job.pk)
    assert "no signed entry of it yet" in words(client.get(reverse("package_job", args=[job.pk])))


def test_unsigned_runs_hold_it_up(client: Client, record: Engine, director: Person, mechanic: Person) -> None:
    run = Run.objects.filter(engine=record).latest("started_at")
    Unsigned.objects.create(run=run, operator=record.operator, engine=record, recorded_by=mechanic)
    signed_in(client, director)
    answer = client.post(reverse("package_make", args=[record.pk]), follow=True)
    assert "1 of its runs are not signed as they stand" in words(answer)
    assert not PackageJob.objects.exists()


def test_what_goes_wrong_is_told_and_leaves_no_package(
    client: Client, record: Engine, director: Person, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*args: Any) -> None:
        raise RuntimeError

    signed_in(client, director)
    job = made(client, record)
    monkeypatch.setattr(jobs, "package_write", broken)
    jobs.PACKAGES.run(job.pk)
    assert "Something went wrong." in words(client.get(reverse("package_job", args=[job.pk])))
    assert list(folder.glob("*.zip")) == []
    jobs.PACKAGES.run(job.pk)
    PackageJob.objects.update(asked_at="2026-01-01T00:00:00Z")
    jobs.PACKAGES.expire()
    assert (list(folder.iterdir()), PackageJob.objects.count()) == ([], 0)


def test_a_package_is_looked_at_then_signed_for(client: Client, data: bytes, stranger: Person) -> None:
    signed_in(client, stranger)
    before = Entry.objects.count()
    answer = sent(client, data)
    shown = words(client.get(answer.url))
    assert "Everything in it matches. Nothing of it is stored yet." in shown
    assert "Handed over by Testholm Flying Service" in shown
    assert not ReceivedPackage.objects.exists()
    done = signed(client, answer.url, stranger)
    package = ReceivedPackage.objects.get()
    assert done.url == reverse("entry_detail", args=[package.entry.number])
    assert package.sha256 in words(client.get(done.url))
    assert Entry.objects.count() == before + 1
    assert "no longer kept here" in words(client.get(answer.url, follow=True))


@pytest.mark.parametrize(
    ("how", "said"),
    [
        ({"password": "another"}, "That is not the password"),
        ({"read": ""}, "Read the text first"),
        ({"read": "0" * 64}, "It has changed since you read it"),
    ],
)
def test_without_a_signature_nothing_is_taken_in(
    client: Client, data: bytes, stranger: Person, how: dict[str, str], said: str
) -> None:
    signed_in(client, stranger)
    answer = signed(client, sent(client, data).url, stranger, **how)
    assert answer.status_code == 422
    assert said in words(answer)
    assert not ReceivedPackage.objects.exists()


def test_a_package_that_does_not_match_is_refused_at_once(client: Client, data: bytes, stranger: Person) -> None:
    signed_in(client, stranger)
    answer = sent(client, data.replace(b'"remarks":"Run 1"', b'"remarks":"Run 9"'))
    assert answer.status_code == 422
    assert "is damaged, or the archive is not as it was packed" in words(answer)
    assert "not with the key that you gave" in words(sent(client, data, "other"))
    assert "Choose the package." in words(client.post(reverse("package_add"), {}))


def test_a_package_that_is_too_large_is_refused(
    client: Client, data: bytes, stranger: Person, settings: LazySettings
) -> None:
    settings.PACKAGE_UPLOAD_MAX_BYTES = 1000
    signed_in(client, stranger)
    assert "Take it in with manage.py package_import instead" in words(sent(client, data))


def test_what_was_received_is_read_where_it_belongs(client: Client, data: bytes, stranger: Person) -> None:
    signed_in(client, stranger)
    signed(client, sent(client, data).url, stranger)
    package = ReceivedPackage.objects.get()
    for engine, said in ((package.engine_id, "Testholm Flying Service"), (0, "None.")):
        assert said in words(client.get(reverse("package_list"), {"engine": engine}))
    detail = words(client.get(reverse("package_detail", args=[package.pk])))
    assert package.root in detail
    one = package.entries.earliest("number")
    shown = words(client.get(reverse("received_entry", args=[package.pk, one.number])))
    assert "its proof holds" in shown
    assert one.body["signed"]["name"] in shown
    answer: Any = client.get(reverse("package_file", args=[package.pk]))
    assert b"".join(answer.streaming_content) == data


def test_a_stranger_sees_nothing_of_it(client: Client, data: bytes, stranger: Person, auditor: Person) -> None:
    signed_in(client, stranger)
    signed(client, sent(client, data).url, stranger)
    package = ReceivedPackage.objects.get()
    signed_in(client, auditor)
    for name, more in (("package_detail", []), ("package_file", []), ("received_entry", [1])):
        assert client.get(reverse(name, args=[package.pk, *more])).status_code == 404
    assert "None." in words(client.get(reverse("package_list")))


GIVE = {
    "to": "Farholm Air",
    "on": "2026-05-20",
    "custody": "all_go",
    "form": "packed",
    "available": "Hangar 2, Farholm",
    "agreed_by": "",
    "remarks": "",
}


def read_and_signed(client: Client, address: str, said: dict[str, Any]) -> Any:
    """Read what a sheet would sign, then sign it."""
    shown = client.post(address, said).content.decode()
    mark = re.search(r'name="read" value="(\w+)"', shown)
    assert mark, words(client.post(address, said))
    return client.post(address, {**said, "stage": "sign", "read": mark[1], "password": PASSWORD})


def test_a_packed_record_is_handed_over_and_that_is_signed(client: Client, record: Engine, director: Person) -> None:
    signed_in(client, director)
    job = made(client, record)
    address = reverse("package_give", args=[job.pk])
    assert "It is not packed yet" in words(client.post(address, GIVE))
    jobs.PACKAGES.run(job.pk)
    assert "Hand it over, and sign that" in words(client.get(reverse("package_job", args=[job.pk])))
    missing = words(client.post(address, {**GIVE, "to": "", "on": "2999-01-01", "custody": "", "form": ""}))
    for said in (
        "Name the new owner.",
        "That day is still to come",
        "Choose who keeps the records.",
        "Choose the form.",
    ):
        assert said in missing
    text = words(client.post(address, GIVE))
    for said in (
        "Handed over to Farholm Air",
        "Available for inspection Hangar 2, Farholm",
        "The new owner keeps them.",
    ):
        assert said in text
    assert not Entry.objects.filter(kind="handover").exists()
    done = read_and_signed(client, address, GIVE)
    entry = Entry.objects.get(kind="handover")
    assert done.url == reverse("entry_detail", args=[entry.number])
    job.refresh_from_db()
    assert entry.body["handed"]["package_sha256"] == job.sha256
    assert "Handed over to Farholm Air" in words(client.get(done.url))
    assert f"entry {entry.number}" in words(client.get(reverse("package_job", args=[job.pk])))


def test_an_engine_that_was_handed_over_is_no_longer_among_those_that_are_here(
    client: Client, record: Engine, director: Person
) -> None:
    signed_in(client, director)
    job = made(client, record)
    jobs.PACKAGES.run(job.pk)
    read_and_signed(client, reverse("package_give", args=[job.pk]), GIVE)
    here = words(client.get(reverse("engine_list")))
    assert record.serial not in here
    assert record.serial in words(client.get(reverse("engine_list"), {"show": "gone"}))
    listed: Any = client.get(reverse("engine_table", args=["csv"]), {"show": "all"})
    assert record.serial in b"".join(listed.streaming_content).decode()
    page = client.get(reverse("engine_detail", args=[record.pk]))
    assert "Handed over to Farholm Air" in words(page)
    assert reverse("run_record", args=[record.pk]) not in page.content.decode()
    kept = words(client.get(reverse("engine_record", args=[record.pk])))
    assert "Pack the record for the next owner" not in kept
    entry = Entry.objects.get(kind="handover")
    found = words(client.get(reverse("entry_list"), {"kind": "handover", "words": "Farholm"}))
    assert f"Entry {entry.number}" in found
    api = client.get("/api/v1/entries/", {"kind": "handover"}).json()["results"]
    assert [(one["number"], one["kind"]) for one in api] == [(entry.number, "handover")]
    printed = text_of(client.get(reverse("entry_print", args=[entry.number])).content)
    for said in ("Record handed over", "Farholm Air", job_hash(entry)[:24]):
        assert said in printed
    again = client.post(reverse("package_make", args=[record.pk]), follow=True)
    assert "was handed over to Farholm Air" in words(again)


def job_hash(entry: Entry) -> str:
    """Return the hash of the package that an entry names."""
    return str(entry.body["handed"]["package_sha256"])


def test_a_hand_over_that_came_to_nothing_is_made_void(client: Client, record: Engine, director: Person) -> None:
    signed_in(client, director)
    job = made(client, record)
    jobs.PACKAGES.run(job.pk)
    read_and_signed(client, reverse("package_give", args=[job.pk]), GIVE)
    entry = Entry.objects.get(kind="handover")
    address = reverse("package_give_void", args=[entry.number])
    assert address in client.get(reverse("entry_detail", args=[entry.number])).content.decode()
    read_and_signed(client, address, {"why": "The sale fell through"})
    assert record.serial in words(client.get(reverse("engine_list")))
    assert "void" in words(client.get(reverse("entry_detail", args=[entry.number])))
    assert client.get(address).status_code == 404
    assert client.get(reverse("package_give_void", args=[1])).status_code == 404


def test_a_record_that_came_back_names_the_one_before(
    client: Client, record: Engine, director: Person, stranger: Person
) -> None:
    _, first = handed(director, engine=record)
    away = taken(first, stranger).engine
    back = taken(handed(stranger, engine=away)[1], director).engine
    assert back is not None
    signed_in(client, director)
    new, old = (client.get(reverse("engine_record", args=[one.pk])) for one in (back, record))
    assert "when it went to Farholm Air" in words(new)
    assert reverse("engine_record", args=[back.pk]) in old.content.decode()
    entry = Entry.objects.filter(kind="opening").latest("number")
    page = words(client.get(reverse("entry_detail", args=[entry.number])))
    for said in ("Received by", "Checked", "Came back", "which lies in this one as it was"):
        assert said in page
