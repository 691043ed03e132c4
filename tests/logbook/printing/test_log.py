"""An engine's log: contents, then each entry, one numbering over all."""

import datetime
from typing import Any

import pytest

from logbook.printing.contents import Line
from logbook.printing.entry import EntrySheet
from logbook.printing.log import LogCover, log_pdf
from logbook.printing.paper import PaperName
from logbook.printing.picture import ChartPictures
from logbook.printing.running import Stamp
from logbook.printing.wording import DEMO, NOTHING_BELOW
from tests.logbook.printing.bodies import CHART, PRINTED_BY, STAMPED, inspection_entry, run_entry, small_picture
from tests.logbook.printing.reading import pages_of, reader_of

FIRST, LAST = datetime.date(2026, 5, 1), datetime.date(2026, 5, 31)
SHEETS = [
    EntrySheet(11, run_entry(), {CHART: ChartPictures(small_picture())}),
    EntrySheet(12, run_entry(title="Flight recorded")),
    EntrySheet(15, inspection_entry()),
]


def printed(sheets: list[EntrySheet], paper: PaperName = "a4", **changes: Any) -> bytes:
    facts = {"operator": "Testholm Flying Service", "place": "Testholm", "is_demo": False, "span": (FIRST, LAST)}
    cover = LogCover(**{**facts, "engine": run_entry()["engine"], "entries_in_all": 40, **changes})
    lines = [Line.of(sheet.number, sheet.body) for sheet in sheets]
    times = sheets[-1].body["times"] if sheets else None
    return log_pdf(lines, iter(sheets), cover=cover, times=times, paper=paper, stamp=Stamp(STAMPED, PRINTED_BY))


@pytest.fixture(scope="module")
def pages() -> list[str]:
    return pages_of(printed(SHEETS))


@pytest.mark.parametrize(
    "fact",
    [
        "Engine serial TB-0001, type Testbird TB-1 3 entries",
        "Engine serial TB-0001 Engine type Testbird TB-1 Fitted to test stand 2 Position not recorded",
        "Days covered from 2026-05-01 to 2026-05-31, both included Entries 3 of 40 of this engine",
        "Engine times at entry 15 Run time Time in service Starts Cycles 1204.6 h",
        "Entry Completed Signed What Page 11 2026-05-04 2026-05-04 Run: Ground run recorded",
        "15 2026-05-05 2026-05-06 Inspection: Hot section inspection",
        "End of contents.",
    ],
)
def test_the_cover_says_what_follows(fact: str, pages: list[str]) -> None:
    assert fact in pages[0]


def test_the_set_is_numbered_as_one(pages: list[str]) -> None:
    assert all(f"page {n} of {len(pages)}" in page for n, page in enumerate(pages, 1))
    owners = [next(k for k in (11, 12, 15) if f"Testholm Entry {k} " in page) for page in pages[1:]]
    assert owners == sorted(owners)
    assert set(owners) == {11, 12, 15}


def test_only_the_end_of_the_set_says_that_nothing_follows(pages: list[str]) -> None:
    assert [NOTHING_BELOW in page for page in pages] == [False] * (len(pages) - 1) + [True]
    assert sum("End of entry" in page for page in pages) == 3


def test_the_same_log_makes_the_same_bytes_and_breaks_alike_on_both_papers() -> None:
    assert printed(SHEETS[:1]) == printed(SHEETS[:1])
    assert pages_of(printed(SHEETS[:1], "letter")) == pages_of(printed(SHEETS[:1]))


def test_a_list_of_contents_may_run_on_to_the_next_page() -> None:
    sheets = [EntrySheet(number, run_entry(evidence=[])) for number in range(1, 26)]
    reader = reader_of(printed(sheets))
    assert [len(reader.pages[page].get("/Annots", ())) > 0 for page in range(3)] == [True, True, False]
    links = [link.get_object() for page in reader.pages for link in page.get("/Annots", ())]
    assert len({str(link["/Dest"]) for link in links}) == len(links) == 25


@pytest.mark.parametrize(
    ("span", "words"),
    [
        ((None, LAST), "from the first entry to 2026-05-31"),
        ((FIRST, None), "from 2026-05-01 to the newest entry"),
    ],
)
def test_an_open_span_and_no_entries(span: tuple[datetime.date | None, datetime.date | None], words: str) -> None:
    (page,) = pages_of(printed([], span=span, is_demo=True))
    assert words in page
    assert "Entries 0 of 40 of this engine" in page
    assert "No entry of this engine lies in this span." in page
    assert NOTHING_BELOW in page
    assert DEMO in page


def test_one_entry_is_called_one() -> None:
    assert "type Testbird TB-1 1 entry" in pages_of(printed(SHEETS[:1]))[0]


def test_the_title_names_the_engine() -> None:
    properties = reader_of(printed([])).metadata
    assert properties is not None
    assert properties.title == "Engine log, serial TB-0001"
