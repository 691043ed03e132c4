"""What is required of the phone without signal, Q1 to Q23, each by its number with the tests that show it.

Beside them the traps of such programs that a page's own markup tells of.
"""

import json
import re
from html import unescape

import pytest
from django.test import Client
from django.urls import reverse

from logbook.models import Person
from tests.addresses import absent
from tests.layers import ROOT

PHONE, OUTBOX = "tests/browser/phone/test_", "tests/logbook/outbox/test_"
SHOWN_BY = {
    "Q1 local commit first": [f"{PHONE}killed.py::test_what_is_called_kept_outlasts_the_browser"],
    "Q2 own drainer": [
        f"{PHONE}records.py::test_it_sends_by_itself_when_the_network_comes_back",
        f"{PHONE}faults.py::test_it_sends_when_the_screen_comes_back",
        f"{PHONE}faults.py::test_the_server_fails_for_eight_days",
    ],
    "Q3 only on proof": [
        f"{PHONE}faults.py::test_what_is_no_refusal_of_the_item_keeps_it",
        f"{PHONE}faults.py::test_a_captive_page_that_says_yes_is_no_receipt",
        f"{PHONE}faults.py::test_the_server_fails_for_eight_days",
    ],
    "Q4 idempotent": [
        f"{PHONE}faults.py::test_the_reply_is_lost_after_the_server_has_stored_it",
        f"{OUTBOX}taking.py::test_the_same_item_gets_the_same_receipt",
        f"{OUTBOX}taking.py::test_an_id_with_another_body_is_refused",
        f"{OUTBOX}taking.py::test_the_same_item_at_one_moment_gets_the_same_receipt",
    ],
    "Q5 numbers are no clock": [
        f"{OUTBOX}written.py::test_an_ordered_number_is_read_neither_as_a_time_nor_as_an_order"
    ],
    "Q6 order": [
        f"{PHONE}faults.py::test_a_refusal_is_kept_with_its_sentence_and_blocks_nothing",
        f"{PHONE}records.py::test_steps_a_finding_and_a_handover_are_kept_in_their_order",
        f"{PHONE}traced.py::test_a_trace_of_a_run_that_is_itself_unsent_waits_for_it_and_follows_it",
    ],
    "Q7 one drainer": [f"{PHONE}faults.py::test_three_windows_send_each_item_once"],
    "Q8 of one person": [
        f"{PHONE}faults.py::test_another_person_sends_nothing_of_it_and_loses_nothing",
        f"{PHONE}records.py::test_signing_out_leaves_what_is_unsent",
        f"{OUTBOX}taking.py::test_an_item_is_taken_from_its_author_alone",
    ],
    "Q9 session expiry": [
        f"{PHONE}faults.py::test_a_session_that_ended_asks_to_sign_in_and_sends_then",
        f"{OUTBOX}taking.py::test_a_missing_token_is_not_a_refusal_of_the_item",
    ],
    "Q10 fragments and login": [
        f"{PHONE}hard_times.py::test_a_press_after_the_session_has_ended_opens_the_sign_in_screen_whole",
        "tests/logbook/test_sessions.py::test_a_fragment_leads_back_to_the_page_it_was_for",
    ],
    "Q11 append and flag": [
        f"{PHONE}records.py::test_an_inspection_that_was_closed_meanwhile_stays_closed",
        f"{PHONE}written.py::test_work_that_was_written_on_meanwhile_stays_and_the_director_is_told",
        f"{OUTBOX}written.py::test_what_somebody_wrote_meanwhile_stays_and_each_late_item_is_put_to_the_director",
    ],
    "Q12 clocks": [
        f"{PHONE}faults.py::test_a_clock_26_hours_ahead",
        f"{OUTBOX}taking.py::test_a_clock_26_hours_ahead_is_flagged_and_what_was_typed_stays",
    ],
    "Q13 eviction": [
        f"{PHONE}faults.py::test_a_full_store_refuses_loudly_and_loses_nothing",
        f"{PHONE}hard_times.py::test_what_waits_for_days_is_said_louder",
        f"{PHONE}records.py::test_what_is_unsent_can_be_saved_to_a_file_and_taken_back",
    ],
    "Q14 self-test": [f"{PHONE}records.py::test_a_browser_that_keeps_nothing_says_so"],
    "Q15 two boxes": [f"{PHONE}hard_times.py::test_an_iphones_browser_is_told_of_the_home_screen"],
    "Q16 a store that dies": [
        f"{PHONE}hard_times.py::test_a_store_that_died_is_opened_again",
        f"{PHONE}hard_times.py::test_a_store_that_stays_dead_says_so",
    ],
    "Q17 updates": [
        f"{PHONE}program.py::test_a_new_build_waits_for_the_person_and_a_form_in_progress_stays",
        f"{PHONE}program.py::test_a_build_is_kept_whole_or_not_at_all",
        f"{PHONE}program.py::test_taking_the_worker_away_leaves_what_is_unsent",
        f"{PHONE}older_store.py::test_what_older_programs_kept_is_all_there_and_is_sent",
        f"{PHONE}older_store.py::test_a_window_of_the_older_program_goes_on_keeping_when_a_later_one_was_loaded",
        f"{OUTBOX}taking.py::test_items_of_older_formats_are_taken",
    ],
    "Q18 the server answered": [
        f"{PHONE}hard_times.py::test_an_access_point_that_leads_nowhere_holds_nothing_up",
        f"{PHONE}hard_times.py::test_a_screen_that_never_comes_gives_way_to_the_kept_one",
    ],
    "Q19 photos apart": [
        f"{PHONE}photos.py::test_the_words_are_received_while_their_photo_still_waits",
        f"{PHONE}photos.py::"
        "test_a_photo_of_a_step_is_kept_small_and_without_its_place_and_sent_when_the_signal_is_back",
    ],
    "Q20 five states": [
        f"{PHONE}hard_times.py::test_each_state_is_said_in_words_and_nothing_is_called_saved_before_its_receipt"
    ],
    "Q21 refused items": [
        f"{PHONE}faults.py::test_a_refused_item_is_put_right_on_the_phone",
        f"{PHONE}faults.py::test_a_refused_item_can_be_set_aside_with_a_reason",
    ],
    "Q22 drafts": [
        f"{PHONE}records.py::test_a_half_filled_sheet_outlasts_a_reload_without_signal",
        f"{PHONE}records.py::test_a_double_tap_keeps_one",
    ],
    "Q23 the fault suite": [
        f"{PHONE}faults.py::test_before_it_is_sent_the_server_is_stopped",
        f"{PHONE}faults.py::test_a_reload_in_the_middle_of_sending",
    ],
}


@pytest.mark.parametrize("shown", SHOWN_BY.values(), ids=SHOWN_BY)
def test_each_requirement_is_shown_by_tests_that_are_there(shown: list[str]) -> None:
    assert absent(shown) == []


def test_what_is_asked_for_in_the_background_ends_and_keeps_no_page(client: Client, mechanic: Person) -> None:
    """Q18 and the trap of a history that holds somebody else's page; scripts are never made from text."""
    client.force_login(mechanic)
    page = client.get(reverse("engine_list")).content.decode()
    (stated,) = re.findall(r"""name="htmx-config" content='([^']+)'""", page)
    told = json.loads(unescape(stated))
    assert (told["timeout"], told["historyCacheSize"], told["allowEval"]) == (8000, 0, False)
    assert [one["swap"] for one in told["responseHandling"]] == [False, True, True, False]


def test_no_box_is_of_the_browsers_own_kind_of_number() -> None:
    """The trap of a box that a turn of the wheel changes, and that drops what it can't read without a word."""
    sheets = [*(ROOT / "templates").rglob("*.html"), *(ROOT / "logbook" / "forms").rglob("*.py")]
    wrong = r"""type=["']?number|NumberInput|forms\.(Integer|Float|Decimal)Field"""
    assert len(sheets) > 100
    assert [path.name for path in sheets if re.search(wrong, path.read_text(encoding="utf8"))] == []
