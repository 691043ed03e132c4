"""Facts beside each other, three excursions at a time, each under its own chart."""

from logbook.printing.findings import facts_tables, inspection_words, verdict_section
from logbook.printing.paper import PAPERS
from logbook.printing.picture import ChartPictures
from logbook.printing.running import Chapter
from logbook.printing.sets import document
from tests.logbook.printing.bodies import CHART, run_entry, small_picture
from tests.logbook.printing.reading import text_of
from tests.logbook.printing.running_lines import running


def test_many_excursions_are_parted_into_tables_of_three() -> None:
    rows = [{"Peak": f"{700 + k} °C", "Area": "A"} for k in range(7)]
    text = text_of(document([Chapter(running(), facts_tables(rows))], paper=PAPERS["a4"], title="t"))
    assert "Fact Excursion 1 of 7 Excursion 2 of 7 Excursion 3 of 7 Peak 700 °C 701 °C 702 °C Area A A A" in text
    assert "Fact Excursion 7 of 7 Peak 706 °C Area A" in text


def test_facts_stand_under_the_chart_they_are_of() -> None:
    """The verdict lists readings in the order in which they were written down, facts stand chart by chart."""
    body = run_entry()
    body["charts"] = [{"name": "First"}, {"name": "Second"}]
    body["verdict"] |= {"excursions": [{"chart": name} for name in ("Second", "First", "Second")], "samples": 0}
    body["facts"] = [{"Peak": "1"}, {"Peak": "21"}, {"Peak": "22"}]
    text = text_of(document([Chapter(running(), verdict_section(body, {}))], paper=PAPERS["a4"], title="t"))
    first, second = text.split("Second No picture")
    assert "Fact Excursion 1 of 1 Peak 1 " in first
    assert "Fact Excursion 1 of 2 Excursion 2 of 2 Peak 21 22 " in second


def test_duration_curves_stand_under_the_run_with_what_they_were_drawn_from() -> None:
    body = run_entry()
    pictures = ChartPictures(
        small_picture("the run"), (small_picture("curve one"), small_picture("curve two")), "200 samples, 1 gap"
    )
    text = text_of(
        document([Chapter(running(), verdict_section(body, {CHART: pictures}))], paper=PAPERS["a4"], title="t")
    )
    places = [
        text.index(words) for words in ("the run", "Drawn from 200 samples, 1 gap; every", "curve one", "curve two")
    ]
    assert places == sorted(places)
    assert text.count("The same excursion as a duration curve") == 2


def test_an_entry_without_a_verdict_says_so() -> None:
    story = verdict_section({}, {})
    assert "No verdict belongs to this entry." in text_of(
        document([Chapter(running(), story)], paper=PAPERS["a4"], title="t")
    )


def test_what_is_not_known_is_called_by_its_label() -> None:
    body = run_entry()
    parts: dict[str, list[str]] = {"notes": [], "ignored": [], "starts": [], "repeats": []}
    gone = [{"channel": "itt", "start_s": 410.0, "end_s": 433.0}, {"channel": "n1", "start_s": 1.0, "end_s": 2.0}]
    missing = [
        {"chart": "Oil pressure, running", "reason": "the trace has no column for oil_press"},
        {"chart": "ITT, starting", "reason": "the type does not say how starts are recognised"},
    ]
    body["verdict"] |= parts | {"unobserved": gone, "not_judged": missing}
    body["labels"] = {"itt": "Interstage turbine temperature", "oil_press": "Oil pressure"}
    text = text_of(document([Chapter(running(), verdict_section(body, {}))], paper=PAPERS["a4"], title="t"))
    for line in (
        "Interstage turbine temperature was not observed for 23 s",
        "Channel n1 was not observed for 1 s",
        "Oil pressure, running was not judged: the trace has no column for Oil pressure.",
        "ITT, starting was not judged: the type does not say how starts are recognised.",
    ):
        assert line in text, line


def test_an_inspection_in_one_line() -> None:
    inspection = {"inspection": {"number": 3, "summary": "Borescope inspection"}}
    assert inspection_words(inspection) == "inspection 3, Borescope inspection"
