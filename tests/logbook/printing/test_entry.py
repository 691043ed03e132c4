"""An entry on paper: everything it must show, blanks in words, the same bytes again."""

import datetime
import hashlib
import io
import os
import subprocess
import sys
from typing import Any

import pytest
from pikepdf import Pdf, pdfa

from engines.times import hours_text
from logbook.printing.entry import EntrySheet, entry_pdf
from logbook.printing.paper import PAPERS, PaperName
from logbook.printing.picture import ChartPictures
from logbook.printing.running import Stamp
from logbook.printing.wording import CAUTION, COPY, DEMO, NOT_RECORDED, NOTHING_BELOW, UNSIGNED
from tests.layers import ROOT
from tests.logbook.printing.bodies import (
    CHART,
    DIGEST,
    PRINTED_BY,
    STAMPED,
    blank_entry,
    inspection_entry,
    run_entry,
    small_picture,
)
from tests.logbook.printing.reading import font_files, pages_of, reader_of, sizes_of, text_of, without

BOTH: tuple[PaperName, ...] = ("a4", "letter")


def printed(body: dict[str, Any], paper: PaperName = "a4", **changes: Any) -> bytes:
    stamp = Stamp(**({"printed_at": STAMPED, "printed_by": PRINTED_BY} | changes))
    sheet = EntrySheet(12, body, {CHART: ChartPictures(small_picture())})
    return entry_pdf([sheet], paper=paper, stamp=stamp, title="Logbook entry 12")


def bare_text(body: dict[str, Any]) -> str:
    return text_of(entry_pdf([EntrySheet(1, body)], paper="a4", stamp=Stamp(STAMPED, "x"), title="t"))


@pytest.fixture(scope="module")
def run_text() -> str:
    return text_of(printed(run_entry()))


@pytest.fixture(scope="module")
def inspection() -> bytes:
    return printed(inspection_entry(is_demo=True))


@pytest.fixture(scope="module")
def inspection_text(inspection: bytes) -> str:
    return text_of(inspection)


@pytest.mark.parametrize(
    "fact",
    [
        "Entry 12: Ground run recorded",
        "Engine serial TB-0001 Engine type Testbird TB-1",
        "Fitted to test stand 2 Position not recorded",
        "Operator Testholm Flying Service Place Testholm",
        "Date completed 2026-05-04 Date signed 2026-05-04",
        f"Run time Time in service Starts Cycles {hours_text(4336380)} h {hours_text(4100000)} h 812 799",
        "was above 700 °C for 70.7 s, peak 741 °C: area B, which calls for: Hot section inspection.",
        "a picture of a run",
        "Drawn from 2,400 samples; every figure is of the samples, not of the drawing.",
        "Time above each level 700 °C: 70.7 s; 720 °C: 12.4 s; 760 °C: 0 s",
        "The record shows 0.63 h of run time, 1 start and 0 cycles.",
        "1 0:04 6.2 s not seen aborted",
        "ITT, running 3 events in area A or beyond since overhaul 2 no Borescope inspection",
        "Channel itt was not observed for 23 s, from 6:50 to 7:13.",
        "Oil pressure, running was not judged: the trace has no column for oil_press.",
        "The limit is judged over the whole trace.",
        "Column itt: 2 cells without a number, such as “---”.",
        "7 Hot section inspection area B yes",
        "Kind of run Ground run Started 2026-05-04 07:30 UTC+02:00",
        "Remarks Gauge & recorder agreed <within> 2 °C.",
        "Run identifier 11111111-2222-4333-8444-555555555555",
        "Time in service not recorded 0.00 h",
        "Revision 3 Source invented limits, issue 3 In force 2026-01-01",
        "Entered by Test Director Checked by Test Inspector",
        "Limit 700 °C; time above it counts (itt)",
        "A more than 60 s above 700 °C; any time above 720 °C Find and correct the cause; record it no not recorded",
        "Source invented for the tests, page 2",
        f"run-0412.csv, 2,400 samples; columns not used: OAT, ALT {DIGEST[:16]}",
        "ITT, running: peak 742 °C, time not known; remarks: read from the gauge",
        "Signed by Test Mechanic User code not recorded Role Mechanic",
        "Certificate kind Mechanic, airframe and powerplant Certificate number T-00017",
        "Date and time signed 2026-05-04 09:12 UTC+02:00",
        "An inspection that the run called for is released in an entry of its own.",
        f"End of entry 12. {NOTHING_BELOW}.",
    ],
)
def test_a_run_shows_every_fact(fact: str, run_text: str) -> None:
    assert fact in run_text


@pytest.mark.parametrize(
    "fact",
    [
        "Entry 12: Hot section inspection",
        "Date completed 2026-05-05 Date signed 2026-05-06",
        "Inspection number 7 Type of inspection Hot section inspection Called for by area B",
        "Data reference invented manual 72-00, revision 3",
        "Required inspection item yes Cause Cause corrected What the cause was A fuel nozzle sprayed to one side.",
        "1 Look at the turbine blades Done Test Mechanic 2026-05-04 15:00 UTC+02:00",
        "2 Check the gauge Not applicable: recorder used",
        "3 Look at the nozzles not answered not recorded not recorded",
        "1 Nozzle 4 sprays to one side Test Mechanic",
        "1 Replaced nozzle 4 and ran the engine invented manual 73-10, revision 2, task 4 2026-05-05 Test Mechanic",
        "This signature covers what entry 12 describes and nothing else: inspection 7, Hot section inspection, engine "
        "TB-0001.",
        "Extent: Borescope of the hot section; nozzle 4 replaced; ground run within limits.",
        "Statement: I certify that engine TB-0001 was inspected on 2026-05-05, at 1204.6 h run time",
        "Outcome Approved for return to service Date work was completed 2026-05-05 Second person Test Inspector",
        "Certificate kind Mechanic, airframe and powerplant Certificate number T-00017",
        "Date and time signed 2026-05-06 08:01 UTC+02:00",
    ],
)
def test_an_inspection_shows_every_fact(fact: str, inspection_text: str) -> None:
    """Paper R5: name, certificate, what is signed in words, date and time with their offset, how it was signed."""
    assert fact in inspection_text


def test_an_inspection_that_was_not_approved_says_who_got_the_list() -> None:
    body = inspection_entry()
    body["release"] |= {"label": "Not approved for return to service", "given_to": "Test Owner", "second_name": ""}
    body["inspection"]["required_inspection_item"] = False
    text = text_of(printed(body))
    assert "Outcome Not approved for return to service" in text
    assert "List of discrepancies given to Test Owner" in text
    assert "Second person not applicable: not a required inspection item" in text


@pytest.mark.parametrize("kind", ["run", "inspection"])
@pytest.mark.parametrize("body", [{}, None])
def test_what_nobody_filled_in_is_called_so(kind: str, body: dict[str, Any] | None) -> None:
    """Paper R4: not recorded, or not applicable and why."""
    blank = blank_entry(kind) if body is None else {"kind": kind}
    text = bare_text(blank)
    assert f"Engine serial {NOT_RECORDED} Engine type {NOT_RECORDED}" in text
    assert f"{NOT_RECORDED} {NOT_RECORDED} {NOT_RECORDED} {NOT_RECORDED}" in text
    assert f"Revision {NOT_RECORDED} Source {NOT_RECORDED} In force {NOT_RECORDED}" in text
    assert f"Charts passed: {NOT_RECORDED}." in text
    assert f"Readings and recorded traces: {NOT_RECORDED}." in text
    assert f"Certificate number {NOT_RECORDED}" in text
    assert "None" not in text.replace("None recorded", "")


def test_nothing_found_is_not_the_same_as_not_recorded() -> None:
    body = run_entry(charts=[], evidence=[], opened=[], facts=[], sentences=["No reading was beyond a limit."])
    body["verdict"] = {"samples": 900, "repeats": "not counted", "excursions": []}
    text = bare_text(body)
    for words in ("Charts passed: none.", "Readings and recorded traces: none.", "Inspections: none."):
        assert words in text
    assert "Repeats: not counted." in text
    assert "No cell of the record was left out" in text


def test_a_record_of_readings_alone_does_not_claim_that_nothing_was_missed() -> None:
    body = run_entry(verdict={"samples": 0, "excursions": [{"chart": CHART, "unit": "degC"}]})
    text = bare_text(body)
    assert "what nobody wrote down is not known" in text
    assert "No picture: no recorded trace of this chart is at hand." in text


@pytest.mark.parametrize("paper", BOTH)
def test_every_page_carries_its_running_lines(paper: PaperName) -> None:
    """Paper R2: page x of y, number, serial, revision, stamp, and that it is a copy."""
    content = printed(inspection_entry(is_demo=True), paper)
    pages = pages_of(content)
    assert len(pages) > 2
    for number, text in enumerate(pages, start=1):
        assert f"page {number} of {len(pages)}" in text
        assert "Testholm Flying Service, Testholm Entry 12" in text
        assert "Engine serial TB-0001, type Testbird TB-1 limits revision 3" in text
        assert all(words in text for words in (DEMO, CAUTION, COPY))
        assert f"Printed 2026-05-06 14:32 UTC+02:00 {UNSIGNED} Printed by Test Reader" in text
    size = reader_of(content).pages[0].mediabox
    assert (float(size.width), float(size.height)) == pytest.approx(PAPERS[paper].size, abs=0.01)


def test_only_the_demo_is_called_one(run_text: str) -> None:
    assert DEMO not in run_text


def test_both_papers_break_pages_alike(inspection: bytes) -> None:
    """Paper R1: one layout fits A4 and Letter."""
    assert pages_of(inspection) == pages_of(printed(inspection_entry(is_demo=True), "letter"))


def test_the_same_entry_makes_the_same_bytes(inspection: bytes) -> None:
    """Paper R8."""
    assert inspection == printed(inspection_entry(is_demo=True))


def test_another_stamp_changes_the_stamp_alone(inspection: bytes) -> None:
    """Paper R8: the same bytes apart from the print stamp."""
    later, someone = datetime.datetime(2027, 1, 2, 3, 4, tzinfo=datetime.UTC), "Another Reader With a Longer Name"
    first = pages_of(inspection)
    second = pages_of(printed(inspection_entry(is_demo=True), printed_at=later, printed_by=someone))
    assert first != second
    assert [without(page, Stamp(STAMPED, PRINTED_BY)) for page in first] == [
        without(page, Stamp(later, someone)) for page in second
    ]


def test_no_letter_is_smaller_than_ten_points(inspection: bytes) -> None:
    """Paper R7: 10 pt or larger."""
    assert min(sizes_of(inspection)) >= 10.0


def test_every_font_is_in_the_file(inspection: bytes) -> None:
    fonts = font_files(inspection)
    assert len(fonts) == 2
    assert all(fonts.values())


def test_the_properties_name_nobody(inspection: bytes) -> None:
    properties = reader_of(inspection).metadata
    assert properties is not None
    assert (properties.title, properties.author, properties.producer) == ("Logbook entry 12", "Embermark", "Embermark")


def test_a_print_is_fit_to_be_kept(inspection: bytes) -> None:
    # ISO 19005-2, level B, by the checker that comes with pikepdf: it passes nothing that it did not check.
    with Pdf.open(io.BytesIO(inspection)) as pdf:
        report = pdfa.check(pdf, "2b")
        assert (report.verdict, report.findings) == ("pass", [])
        assert not any("/Trans" in page.obj for page in pdf.pages)


def test_letters_outside_latin_1_survive() -> None:
    assert "Δp < 2 µm → ✓ Đorđe Łukasz" in text_of(printed(run_entry(title="Δp < 2 µm → ✓ Đorđe Łukasz")))


def test_an_unknown_paper_is_refused() -> None:
    with pytest.raises(ValueError, match="'a5' is no paper"):
        printed(run_entry(), "a5")  # type: ignore[arg-type]


def test_another_process_makes_the_same_bytes(inspection: bytes) -> None:
    script = (
        "import hashlib; from tests.logbook.printing import test_entry as t;"
        "print(hashlib.sha256(t.printed(t.inspection_entry(is_demo=True))).hexdigest())"
    )
    surroundings = os.environ | {"PYTHONHASHSEED": "77", "DJANGO_SETTINGS_MODULE": "tests.settings"}
    ran = subprocess.run(
        [sys.executable, "-c", script], cwd=ROOT, env=surroundings, capture_output=True, text=True, check=True
    )
    assert ran.stdout.strip() == hashlib.sha256(inspection).hexdigest()
