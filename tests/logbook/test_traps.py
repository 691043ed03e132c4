"""The traps into which programs of this kind fall, each with the tests that show this one beside it."""

import re
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.test import Client
from django.urls import reverse

from tests.addresses import absent
from tests.layers import ROOT

PHONE, SCREENS, LOGBOOK = "tests/browser/phone/test_", "tests/browser/test_", "tests/logbook/test_"
SCRIPTS, TEMPLATES = ROOT / "logbook" / "static" / "logbook" / "js", ROOT / "templates"
AVOIDED = {
    "a queue whose entries expire": [f"{PHONE}faults.py::test_the_server_fails_for_eight_days"],
    "an item deleted after so many tries": [f"{PHONE}faults.py::test_the_server_fails_for_eight_days"],
    "every answer from 400 on taken for final": [f"{PHONE}faults.py::test_what_is_no_refusal_of_the_item_keeps_it"],
    "an answer taken for success": [f"{PHONE}faults.py::test_a_captive_page_that_says_yes_is_no_receipt"],
    "a new program that takes over at once": [
        f"{PHONE}program.py::test_a_new_build_waits_for_the_person_and_a_form_in_progress_stays"
    ],
    "a kept page with somebody's name or token": [f"{LOGBOOK}shell.py::test_the_page_that_stands_in_is_nobodys"],
    "advice to clear what the site keeps": [
        f"{LOGBOOK}traps.py::test_nobody_is_told_to_clear_what_the_site_keeps",
        f"{PHONE}records.py::test_what_is_unsent_can_be_saved_to_a_file_and_taken_back",
    ],
    "a queue cleared on sign-out": [f"{PHONE}records.py::test_signing_out_leaves_what_is_unsent"],
    "the browser's word that it is online": [
        f"{PHONE}hard_times.py::test_an_access_point_that_leads_nowhere_holds_nothing_up",
        f"{LOGBOOK}traps.py::test_no_script_trusts_the_browsers_word_or_asks_in_a_box_of_its_own",
    ],
    "offline tried only with the cable out": [
        f"{PHONE}hard_times.py::test_an_access_point_that_leads_nowhere_holds_nothing_up",
        f"{PHONE}hard_times.py::test_a_screen_that_never_comes_gives_way_to_the_kept_one",
        f"{PHONE}faults.py::test_a_captive_page_that_says_yes_is_no_receipt",
    ],
    "a tab taken for the home screen": [f"{PHONE}hard_times.py::test_an_iphones_browser_is_told_of_the_home_screen"],
    "a promise to keep taken for proof": [
        f"{PHONE}records.py::test_what_is_unsent_can_be_saved_to_a_file_and_taken_back",
        f"{PHONE}records.py::test_a_browser_that_keeps_nothing_says_so",
    ],
    "files kept as the browser's own objects": [
        f"{LOGBOOK}traps.py::test_files_are_kept_as_bytes_in_the_store_and_never_as_text_beside_it"
    ],
    "what is fetched in the background and not shown": [
        f"{LOGBOOK}requirements_phone.py::test_what_is_asked_for_in_the_background_ends_and_keeps_no_page"
    ],
    "an upgrade that answers refusals otherwise": [f"{LOGBOOK}traps.py::test_a_page_loads_the_htmx_it_was_written_for"],
    "a box that a wheel turns": [f"{LOGBOOK}requirements_phone.py::test_no_box_is_of_the_browsers_own_kind_of_number"],
    "1.234 read by a locale": ["tests/engines/test_numbers_typed.py::test_a_point_and_a_comma_mean_the_same"],
    "a bar under the keyboard": [
        f"{SCREENS}sheet.py::test_next_stands_in_the_flow_under_the_box_within_the_thumbs_reach"
    ],
    "a timer that counts ticks": [
        f"{SCREENS}timer.py::test_ten_minutes_of_a_locked_phone_are_ten_minutes",
        f"{SCREENS}timer.py::test_both_clocks_are_kept_and_the_longer_counts",
    ],
    "a phone's clock as the time in law": [
        "tests/logbook/outbox/test_taking.py::test_a_clock_26_hours_ahead_is_flagged_and_what_was_typed_stays"
    ],
    "local midnight in days that are due": [
        f"{LOGBOOK}entry_history.py::test_the_day_of_signing_is_the_operators",
        f"{LOGBOOK}calendar_text.py::test_it_is_stamped_in_utc_and_the_sequence_rises_by_the_day",
    ],
    "boxes that ask whether one is sure": [
        f"{LOGBOOK}traps.py::test_no_script_trusts_the_browsers_word_or_asks_in_a_box_of_its_own"
    ],
    "boxes that are filled or ticked beforehand": [
        f"{LOGBOOK}screens_questions.py::test_the_last_reading_stands_beside_the_box_and_never_in_it",
        f"{LOGBOOK}screens_signing.py::test_the_sheet_says_what_is_missing_and_has_no_default",
    ],
    "a refusal that passes by": [f"{PHONE}faults.py::test_a_refusal_is_kept_with_its_sentence_and_blocks_nothing"],
    "colours that were not measured": [f"{LOGBOOK}static.py::test_no_colour_is_used_that_is_not_measured"],
    "thinned data that lose the peak": [
        "tests/inspections/drawing/test_run_picture.py::test_one_high_sample_of_twenty_thousand_is_drawn_and_named"
    ],
    "gaps that are bridged": ["tests/twin/test_twin_gaps.py::test_a_gap_is_spent_at_the_higher_of_its_ends"],
    "numbers behind an apostrophe": [f"{LOGBOOK}tables.py::test_a_text_that_could_run_is_guarded_and_a_number_is_not"],
    "mail of nothing": [f"{LOGBOOK}notices.py::test_an_empty_mail_is_not_sent"],
    "a code that leads to a sign-in": [
        f"{LOGBOOK}screens_checking.py::test_a_printed_code_is_answered_without_an_account"
    ],
    "a signature alone on the last page": [
        "tests/logbook/printing/test_signing.py::test_three_lines_stand_above_the_signature"
    ],
    "without signal by somebody's score": [f"{PHONE}without_signal.py::test_a_run_is_kept_and_arrives_once_unsigned"],
    "a narrowed list that looks whole": [
        f"{LOGBOOK}screens_engines.py::test_a_long_list_has_pages",
        f"{LOGBOOK}screens_entries.py::test_entries_are_listed_newest_first_and_narrowed",
    ],
}


@pytest.mark.parametrize("shown", AVOIDED.values(), ids=AVOIDED)
def test_each_trap_is_avoided_in_tests_that_are_there(shown: list[str]) -> None:
    assert absent(shown) == []


def test_no_script_trusts_the_browsers_word_or_asks_in_a_box_of_its_own() -> None:
    scripts = [*SCRIPTS.rglob("*.js"), *TEMPLATES.rglob("*.html")]
    wrong = r"\bonLine\b|\b(confirm|alert|prompt)\(|hx-confirm"
    assert len(scripts) > 150
    assert [path.name for path in scripts if re.search(wrong, path.read_text(encoding="utf8"))] == []


def test_nobody_is_told_to_clear_what_the_site_keeps() -> None:
    """Clearing it would take what is unsent: no text advises it, and no answer has the browser do it."""
    told = [*TEMPLATES.rglob("*.html"), *SCRIPTS.rglob("*.js"), *(ROOT / "logbook").rglob("*.py"), *ROOT.glob("*.md")]
    acts = "(clear|delete|remove|empty) (the |your |this )?"
    kept = "(site|browser|browsing|website)('s)? (data|cache|storage)"
    wrong = re.compile(f"clear-site-data|{acts}{kept}", re.IGNORECASE)
    assert len(told) > 400
    assert [path.name for path in told if wrong.search(path.read_text(encoding="utf8"))] == []
    assert all(
        wrong.search(advice) for advice in ("Clear site data.", "Delete your browser's cache", "Clear-Site-Data")
    )


def test_a_page_loads_the_htmx_it_was_written_for(client: Client) -> None:
    """Another major version swaps other answers into the page, and calls its errors by other names."""
    page = client.get(reverse("account_login")).content.decode()
    (name,) = re.findall(r'src="[^"]*?(django_htmx/htmx[^"]*\.js)"', page)
    found = finders.find(name)
    assert found is not None
    assert re.findall(r'version:\s*"(\d+)\.', Path(found).read_text(encoding="utf8")) == ["2"]


def test_files_are_kept_as_bytes_in_the_store_and_never_as_text_beside_it() -> None:
    """What writes beside the store is drafts, marks and times alone, and drafts leave files out."""
    beside = {path.name for path in SCRIPTS.rglob("*.js") if "localStorage" in path.read_text(encoding="utf8")}
    assert beside == {"draft.js", "sheets.js", "start.js", "timed.js", "timer.js"}
    assert "[type=file]" in (SCRIPTS / "draft.js").read_text(encoding="utf8")
    collect = (SCRIPTS / "outbox" / "collect.js").read_text(encoding="utf8")
    assert "arrayBuffer()" in collect
    scripts = "".join(path.read_text(encoding="utf8") for path in SCRIPTS.rglob("*.js"))
    assert not re.search(r"readAsDataURL|btoa\(", scripts)
