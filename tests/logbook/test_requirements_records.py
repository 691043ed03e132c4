"""What rules ask of records, of who keeps them and of the system that holds them, each by its number."""

import hashlib
from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engines.evidence import RunFacts
from engines.models import Engine, Run
from inspections.states import NOT_APPROVED
from logbook.actions import run_enter
from logbook.backups import backup_overdue
from logbook.maintenance.rules import rules_choose
from logbook.models import Entry, Person
from logbook.printing.retention import keep_of
from logbook.sessions import idle_limit
from logbook.statements.coverage import POWERPLANT, Hands, hands_faults
from logbook.statements.required import InspectionFacts, WorkFacts, inspection_faults, work_faults
from tests.factories import STARTED_AT
from tests.logbook.handover.records import recorded
from tests.logbook.maintenance.kit import certified, opened, sign_on_screen, signed
from tests.logbook.printing.reading import text_of
from tests.logbook.screen_kit import signed_in, words
from tests.signed import run_signed

TODAY = STARTED_AT.date()


@pytest.fixture
def entry(engine: Engine, mechanic: Person) -> Entry:
    """Return a run that its mechanic signed."""
    facts = RunFacts(Run().pk, Run.Kind.GROUND_RUN, STARTED_AT, typed_run_time_s=1440)
    return run_signed(run_enter(engine=engine, facts=facts, by=mechanic), mechanic)


@pytest.fixture
def work_entry(engine: Engine, mechanic: Person, director: Person) -> Entry:
    """Return maintenance that was signed under the rules of the United States."""
    rules_choose(by=director, ruleset="us")
    certified(mechanic, POWERPLANT)
    return signed(opened(engine, mechanic, helpers="Test Helper"), mechanic)


def test_r_43_9_c_work_and_inspection_have_sets_of_their_own() -> None:
    work = work_faults(WorkFacts(), ruleset="us", signer="A", today=TODAY)
    inspection = inspection_faults(InspectionFacts(), outcome="inspection_approved", today=TODAY)
    assert {"description", "is_major"} <= set(work) - set(inspection)
    assert {"kind", "extent", "hours", "has_checklist"} <= set(inspection) - set(work)


def test_r_571_10_2p_work_on_engine_controls_takes_two_persons() -> None:
    alone, same, two = (Hands(second=name) for name in ("", "A", "B"))
    assert [bool(hands_faults("A", hands, is_required_item=True)) for hands in (alone, same, two)] == [
        True,
        True,
        False,
    ]


def test_r_91_417_b_1_work_is_kept_for_a_year_at_least_and_never_purged(work_entry: Entry) -> None:
    assert keep_of(work_entry.body).startswith("until repeated or superseded by other work, or 1 year after the work")
    for act in (work_entry.delete, Entry.objects.all().delete):
        with pytest.raises(TypeError, match="only ever added"):
            act()


def test_r_135_439_b_2_the_last_complete_overhaul_is_kept_until_superseded() -> None:
    assert "the last complete overhaul until superseded" in keep_of({"release": {"ruleset": "us_programme"}})


def test_r_91_417_b_3_a_list_of_discrepancies_is_kept_until_repaired_and_approved() -> None:
    kept = keep_of({"release": {"ruleset": "us", "outcome": NOT_APPROVED}})
    assert kept.startswith("until the discrepancies are repaired and approved")


def test_r_305_e_records_under_european_rules_are_kept_36_months_and_12_after_withdrawal() -> None:
    """Until superseded but at least 36 months; 12 months after the engine is withdrawn for good."""
    for body in ({"release": {"ruleset": "easa"}}, {"kind": "task", "release": {"ruleset": "easa"}}):
        kept = keep_of(body)
        assert kept.startswith("until superseded, and 36 months; 12 months after withdrawal")
        assert kept.endswith("Nothing is removed here by itself.")


def test_r_91_417_c_an_auditor_reads_prints_and_exports_and_changes_nothing(
    client: Client, engine: Engine, entry: Entry, auditor: Person
) -> None:
    signed_in(client, auditor)
    assert "Entry 1" in words(client.get(reverse("entry_list")))
    table: Any = client.get(reverse("entry_table", args=["csv"]))
    assert b"TB-0001" in b"".join(table.streaming_content)
    assert client.get(reverse("entry_print", args=[1])).content.startswith(b"%PDF-")
    assert client.post(reverse("run_record", args=[engine.pk])).status_code == 403


def test_r_43_12_and_r_3_403_a_day_may_be_past_and_the_moment_of_receipt_is_the_servers(
    engine: Engine, mechanic: Person
) -> None:
    before = timezone.now()
    facts = RunFacts(Run().pk, Run.Kind.FLIGHT, STARTED_AT - timedelta(days=30))
    run = run_enter(engine=engine, facts=facts, by=mechanic)
    entry = run_signed(run, mechanic)
    assert before <= run.recorded_at <= timezone.now()
    assert entry.signed_at >= before.replace(microsecond=0)
    assert entry.completed_on == run.started_at.date()


@pytest.mark.parametrize(
    ("number", "said"),
    [
        ("R-ER-1", "Facilities, hardware and software"),
        ("R-ER-2", "Which records are kept here, and which are signed electronically"),
        ("R-ER-3", "The database itself refuses to change or delete what is kept."),
        ("R-ER-4", "The kind of event, its date, the place, the persons by name and user code, and the certification"),
        ("R-ER-5", "Backup, retention, audit and hand-over"),
        ("R-TP14308", "Who may change what here"),
        ("R-145.55", "The operator keeps one copy in another place."),
    ],
)
def test_the_recordkeeping_system_is_described(
    client: Client, entry: Entry, director: Person, number: str, said: str
) -> None:
    assert said in words(signed_in(client, director).get(reverse("record_description"))), number


def test_r_amc305e_a_record_is_found_and_leaves_in_common_formats(
    client: Client, entry: Entry, auditor: Person
) -> None:
    signed_in(client, auditor)
    assert "Entry 1" in words(client.get(reverse("entry_list"), {"words": "Ground run", "serial": "TB-0001"}))
    assert client.get("/api/v1/entries/1/").json()["body"]["engine"]["serial"] == "TB-0001"


def test_r_amcml305e_a_record_without_a_backup_is_warned_of(entry: Entry) -> None:
    with time_machine.travel(timezone.now() + timedelta(hours=25)):
        assert "are in no backup" in backup_overdue()


def test_r_amc305f_a_file_is_kept_as_it_came_with_its_check_sum_and_its_moment(
    engine: Engine, mechanic: Person
) -> None:
    before = timezone.now()
    trace = recorded(engine, mechanic).traces.get()
    with trace.original.open("rb") as file:
        assert hashlib.sha256(file.read()).hexdigest() == trace.original_sha256
    assert before <= trace.recorded_at <= timezone.now()


def test_r_amc801_5_a_release_is_issued_by_nobody_else(
    client: Client, engine: Engine, mechanic: Person, director: Person
) -> None:
    rules_choose(by=director, ruleset="us")
    certified(mechanic, POWERPLANT)
    work = opened(engine, mechanic)
    signed_in(client, mechanic)
    assert "That is not the password" in words(sign_on_screen(client, work, password="somebody else's"))
    assert not Entry.objects.exists()
    assert sign_on_screen(client, work).status_code == 302


def test_r_p11_10e_the_text_that_was_signed_is_bound_to_its_signature(entry: Entry) -> None:
    assert len(entry.body["signed"]["text_sha256"]) == 64
    assert entry.body["signed"]["factor"].startswith("password, given at the moment of signing")


def test_r_nist_aal_sessions_end_when_idle() -> None:
    assert idle_limit("mechanic") <= timedelta(minutes=30)
    assert idle_limit("inspector") <= timedelta(minutes=15)


def test_r_nist_pw_a_secret_has_8_characters_and_may_have_64() -> None:
    with pytest.raises(ValidationError):
        validate_password("sh0rt-x")
    validate_password("a long secret without any rule of what it is made, and 64 or more")


def test_r_801_d_helpers_are_listed_and_sign_nothing(work_entry: Entry) -> None:
    assert work_entry.body["work"]["helpers"] == ["Test Helper"]
    assert hands_faults("Test Helper", Hands(helpers=("Test Helper",)), is_required_item=False)


def test_r_305_b1_an_entry_has_its_date_and_the_life_in_service(
    client: Client, work_entry: Entry, auditor: Person
) -> None:
    assert set(work_entry.body["times"]) >= {"run_time_s", "time_in_service_s", "starts", "cycles"}
    printed = text_of(signed_in(client, auditor).get(reverse("entry_print", args=[1])).content)
    for said in (work_entry.completed_on.isoformat(), "ime in service"):
        assert said in printed
