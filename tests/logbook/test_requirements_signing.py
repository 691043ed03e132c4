"""What is asked of electronic signatures and records, one test each (AC 120-78B, second-hand; FAA Order 8900.1)."""

from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.db import IntegrityError, connection, transaction
from django.test import Client
from django.urls import get_resolver, reverse
from django.utils import timezone

from engines.errors import DomainError
from engines.evidence import RunFacts
from engines.models import Engine, Run
from logbook.account_keeping import password_reset
from logbook.actions import run_enter, run_sign
from logbook.backups import backup_overdue
from logbook.ledger.checking import ledger_check
from logbook.ledger.guards import guards_lift, guards_set
from logbook.ledger.lots import LedgerBroken
from logbook.models import Entry, Person
from logbook.signing import CONFIRMS, text_hash
from tests.factories import STARTED_AT, CertificateFactory, PersonFactory
from tests.logbook.screen_kit import PASSWORD, signed_in, words
from tests.logbook.test_screens_run_signing import address, sign
from tests.signed import run_signed, signing_of


@pytest.fixture
def run(engine: Engine, mechanic: Person) -> Run:
    """Return a run that its mechanic has recorded and not signed."""
    facts = RunFacts(Run().pk, Run.Kind.GROUND_RUN, STARTED_AT, typed_run_time_s=1440)
    return run_enter(engine=engine, facts=facts, by=mechanic)


@pytest.fixture
def entry(run: Run, mechanic: Person) -> Entry:
    """Return the run signed."""
    return run_signed(run, mechanic)


def test_r_es_1_a_signature_is_one_persons(entry: Entry, mechanic: Person) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        PersonFactory.create(username=mechanic.username)
    assert entry.body["signed"]["user_code"] == mechanic.username


def test_r_es_2_the_secret_is_given_anew_for_each_signature(client: Client, run: Run, mechanic: Person) -> None:
    assert sign(signed_in(client, mechanic), run, "").status_code == 422
    assert sign(client, run).status_code == 302
    again = run_enter(
        engine=run.engine, facts=RunFacts(Run().pk, Run.Kind.FLIGHT, STARTED_AT + timedelta(hours=3)), by=mechanic
    )
    assert sign(client, again, "").status_code == 422


def test_r_es_3_what_a_signature_means_is_shown_and_kept(client: Client, run: Run, mechanic: Person) -> None:
    page = words(signed_in(client, mechanic).get(address(run)))
    assert CONFIRMS in page
    assert "Sign it" in page
    sign(client, run)
    assert Entry.objects.get().body["signed"]["meaning"] == CONFIRMS


def test_r_es_4_nothing_is_signed_unread(client: Client, run: Run, mechanic: Person) -> None:
    response = sign(signed_in(client, mechanic), run, read="")
    assert (response.status_code, Entry.objects.count()) == (422, 0)
    assert "Read the text first; what nobody has read is not signed." in words(response)


def test_r_es_4_no_address_signs_several(db: None) -> None:
    signing = [name for name in get_resolver().reverse_dict if isinstance(name, str) and name.endswith("_sign")]
    parts = {name: get_resolver().reverse_dict.getlist(name)[0][0][0][1] for name in signing}
    assert {"run_sign", "inspection_sign", "work_sign"} <= set(signing)
    assert {name: len(found) for name, found in parts.items()} == dict.fromkeys(signing, 1)


def test_r_es_5_the_whole_text_is_shown_and_its_hash_kept(client: Client, run: Run, mechanic: Person) -> None:
    before = words(signed_in(client, mechanic).get(address(run)))
    sign(client, run)
    entry = Entry.objects.get()
    after = words(client.get(reverse("entry_detail", args=[1])))
    text = after[after.index("Operator Testholm") : after.index("Signed at")]
    assert text.strip() in before
    assert entry.body["signed"]["text_sha256"] == text_hash(entry.body)


def test_r_es_6_an_edit_breaks_the_bond(entry: Entry) -> None:
    guards_lift(connection)
    connection.cursor().execute("UPDATE logbook_entry SET content = replace(content, '1440', '1441')")
    guards_set(connection)
    with pytest.raises(LedgerBroken, match="Entry 1 is not what was signed"):
        ledger_check(entry.operator)


def test_r_es_7_the_signer_is_told_when_and_under_which_reference(client: Client, run: Run, mechanic: Person) -> None:
    response = sign(signed_in(client, mechanic), run)
    at = timezone.localtime(Entry.objects.get().signed_at)
    assert f"Signed: entry 1, {at:%Y-%m-%d %H:%M:%S %z}." in words(client.get(response["Location"]))


def test_r_es_8_from_a_person_to_all_they_signed_and_back(client: Client, entry: Entry, mechanic: Person) -> None:
    signed_in(client, mechanic)
    listed = f"{reverse('entry_list')}?person={mechanic.pk}"
    assert listed in client.get(reverse("person_detail", args=[mechanic.pk])).content.decode()
    assert "Entry 1" in words(client.get(listed))
    assert f"({mechanic.username})" in words(client.get(reverse("entry_detail", args=[1])))


def test_r_es_9_user_factor_times_hash_and_what_went_before(client: Client, run: Run, mechanic: Person) -> None:
    sign(signed_in(client, mechanic), run, device_at="2026-05-04T08:00:00.000Z")
    entry = Entry.objects.get()
    signature = entry.body["signed"]
    assert signature["factor"] == "password, given at the moment of signing"
    assert (signature["at"][:16], signature["device_at"][:16]) == (
        timezone.localtime(entry.signed_at).isoformat()[:16],
        "2026-05-04T08:00",
    )
    assert ledger_check(entry.operator).root.hex() == entry.leaf_hash


def test_r_es_10_anybody_elses_secret_signs_nothing(client: Client, run: Run, mechanic: Person) -> None:
    mechanic.set_password("her own words")
    mechanic.save()
    assert sign(signed_in(client, mechanic), run, PASSWORD).status_code == 422


def test_r_es_11_who_left_signs_no_more_and_what_they_signed_stays(
    client: Client, entry: Entry, mechanic: Person, auditor: Person
) -> None:
    signed_in(client, mechanic)
    mechanic.is_active = False
    mechanic.save()
    assert client.get(reverse("unsigned_list")).status_code == 302
    assert f"Signed by {mechanic}" in words(signed_in(client, auditor).get(reverse("entry_detail", args=[1])))
    assert ledger_check(entry.operator).size == 1


def test_r_es_12_what_is_signed_is_not_changed(entry: Entry) -> None:
    with pytest.raises(TypeError, match="only ever added"):
        entry.save()
    with pytest.raises(IntegrityError, match="only ever added"), transaction.atomic():
        connection.cursor().execute("UPDATE logbook_entry SET content = '{}'")


def test_r_es_14_a_signed_entry_leaves_as_paper_and_as_data(client: Client, entry: Entry, auditor: Person) -> None:
    signed_in(client, auditor)
    assert client.get(reverse("entry_print", args=[1])).content.startswith(b"%PDF-")
    assert client.get(reverse("entry_proof", args=[1])).json()["leaf_hash"] == entry.leaf_hash


def test_r_es_15_a_new_password_by_the_director_is_on_record(director: Person, mechanic: Person) -> None:
    old = mechanic.password
    given = password_reset(person=mechanic, by=director)
    change = mechanic.account_changes.last()
    mechanic.refresh_from_db()
    assert (change.by, old in given, mechanic.check_password(given)) == (director, False, True)


def test_r_amc614_5_a_day_without_a_backup_is_warned_of(entry: Entry) -> None:
    with time_machine.travel(timezone.now() + timedelta(hours=25)):
        assert "are in no backup" in backup_overdue()


def test_r_605_93_a_user_code_stands_beside_the_name(client: Client, entry: Entry, mechanic: Person) -> None:
    assert f"{mechanic} ({mechanic.username})" in words(
        signed_in(client, mechanic).get(reverse("entry_detail", args=[1]))
    )


def test_r_p11_50_name_time_and_meaning_are_shown(client: Client, entry: Entry, mechanic: Person) -> None:
    page = words(signed_in(client, mechanic).get(reverse("entry_detail", args=[1])))
    for part in (str(mechanic), "Signed at", CONFIRMS):
        assert part in page


def test_r_back_a_late_entry_is_seen_as_late(client: Client, entry: Entry, auditor: Person) -> None:
    page = words(signed_in(client, auditor).get(reverse("entry_detail", args=[1])))
    assert "Late: signed" in page
    assert entry.signed_at > STARTED_AT


def test_a_certificate_is_kept_as_it_stood(run: Run, mechanic: Person) -> None:
    held = mechanic.certificates.get()
    entry = run_signed(run, mechanic)
    CertificateFactory.create(person=mechanic, kind="Newer", replaces=held)
    assert Entry.objects.get(pk=entry.pk).body["signed"]["certificate_number"] == held.number


def test_somebody_elses_certificate_signs_nothing(run: Run, mechanic: Person, inspector: Person) -> None:
    borrowed: Any = signing_of(inspector, CONFIRMS)
    with pytest.raises(DomainError, match="is not yours"):
        run_sign(run=run, by=mechanic, signing=borrowed)
