"""What has to be settled: raised with the record it is about, and settled once, in words."""

import io
import uuid
from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from engines.evidence import ReadingFacts, ReasonFacts, RunFacts
from engines.models import Engine, Run
from logbook.access import DIRECTOR
from logbook.actions import run_enter, trace_enter
from logbook.concerns import LATE_AFTER
from logbook.models import Concern, Person, Settlement
from tests.factories import STARTED_AT, PersonFactory, TypeRevisionFactory
from tests.logbook.screen_kit import recording_csv, signed_in, words


def recorded(engine: Engine, by: Person, *, after: timedelta = timedelta(hours=1), **stated: Any) -> Run:
    """Record a run some time after it began."""
    facts = RunFacts(id=uuid.uuid4(), kind=Run.Kind.GROUND_RUN, started_at=STARTED_AT, **stated)
    with time_machine.travel(STARTED_AT + after, tick=False):
        return run_enter(engine=engine, facts=facts, by=by)


def traced(run: Run, by: Person, **recording: Any) -> None:
    """Add a recorded trace to a run."""
    trace_enter(run=run, file=io.BytesIO(recording_csv(**recording)), name="run.csv", by=by)


def kinds() -> list[tuple[str, str, str]]:
    """Return kind, subject and words of what has to be settled."""
    return list(Concern.objects.values_list("kind", "about", "text"))


@pytest.mark.parametrize(("beyond", "raised"), [(timedelta(0), 0), (timedelta(seconds=1), 1)])
def test_a_run_that_is_recorded_late_is_raised(
    beyond: timedelta, raised: int, engine: Engine, mechanic: Person
) -> None:
    recorded(engine, mechanic, after=LATE_AFTER + beyond)
    late = ("late", "The run", "recorded 2 days after it began")
    assert kinds() == [late] * raised


def test_a_reason_that_was_typed_is_raised(engine: Engine, mechanic: Person) -> None:
    said = ReasonFacts("Starts", "9", "9 starts are many for one run.", "Starter trials on the stand")
    recorded(engine, mechanic, typed_starts=9, reasons=(said,))
    assert kinds() == [("reason", "Starts", "9. 9 starts are many for one run.")]
    concern = Concern.objects.get()
    assert (concern.reason, concern.raised_by) == ("Starter trials on the stand", mechanic)


def test_evidence_that_disagrees_is_raised_once(engine: Engine, mechanic: Person) -> None:
    run = recorded(engine, mechanic, readings=(ReadingFacts("ITT, running", 715.0, 90.0),), typed_run_time_s=7200)
    assert kinds() == []
    traced(run, mechanic)
    areas = ("evidence", "ITT, running", "what was written down enters area A, the trace area B")
    hours = ("evidence", "Run time", "2.00 h was written down, the trace shows 0.05 h")
    assert kinds() == [areas, hours]
    traced(run, mechanic)
    traced(run, mechanic, above_s=21)
    assert kinds() == [areas, hours]


def test_evidence_that_agrees_is_not_raised(engine: Engine, mechanic: Person) -> None:
    run = recorded(engine, mechanic, readings=(ReadingFacts("ITT, running", 771.0, 20.0),), typed_starts=1)
    traced(run, mechanic)
    assert kinds() == []


def test_a_trace_that_disagrees_with_the_meter_is_raised(engine: Engine, mechanic: Person) -> None:
    earlier = RunFacts(uuid.uuid4(), Run.Kind.FLIGHT, STARTED_AT - timedelta(days=1), typed_meter_h=4312.6)
    with time_machine.travel(earlier.started_at + timedelta(hours=1), tick=False):
        run_enter(engine=engine, facts=earlier, by=mechanic)
    run = recorded(engine, mechanic, typed_meter_h=4314.6)
    traced(run, mechanic)
    words = "4314.6 h is 2.0 h more than 4312.6 h on 2026-05-03, and the engine ran 0.04 h since."
    assert kinds() == [("evidence", "Hour meter", f"The meter and the run time disagree: {words}")]


def test_what_was_answered_with_the_trace_is_not_raised_twice(engine: Engine, mechanic: Person) -> None:
    earlier = RunFacts(uuid.uuid4(), Run.Kind.FLIGHT, STARTED_AT - timedelta(days=1), typed_meter_h=4312.6)
    with time_machine.travel(earlier.started_at + timedelta(hours=1), tick=False):
        run_enter(engine=engine, facts=earlier, by=mechanic)
    words = "4314.6 h is 2.0 h more than 4312.6 h on 2026-05-03, and the engine ran 0.04 h since."
    said = ReasonFacts("Hour meter", "4314.6 h", f"The meter and the run time disagree: {words}", "Meter was replaced")
    traced(recorded(engine, mechanic, typed_meter_h=4314.6, reasons=(said,)), mechanic)
    assert [kind for kind, *_ in kinds()] == ["reason"]


@pytest.fixture
def concern(engine: Engine, mechanic: Person, director: Person, client: Client) -> Concern:
    """Return a concern about a run that was recorded late, the director signed in."""
    recorded(engine, mechanic, after=timedelta(days=9))
    signed_in(client, director)
    return Concern.objects.get()


def settle(client: Client, concern: Concern, **sheet: str) -> Any:
    """Settle a concern."""
    return client.post(reverse("concern_detail", args=[concern.pk]), sheet, follow=True)


def test_the_list_says_what_is_open_and_for_how_long(client: Client, concern: Concern, mechanic: Person) -> None:
    page = words(client.get(reverse("concern_list")))
    assert "Reason given for an unlikely figure: 0 Evidence disagrees: 0 Recorded late: 1" in page
    assert "The run: recorded 9 days after it began Recorded late Ground run of TB-0001, 2026-05-04" in page
    assert "None yet, open for" in page
    assert "1 of 1 shown." in page
    detail = words(client.get(reverse("concern_detail", args=[concern.pk])))
    assert "The run: recorded 9 days after it began." in detail
    assert "Recorded more than 2 days after the run began." in detail
    assert f"with what {mechanic} recorded" in detail


def test_it_is_settled_once_with_a_note(client: Client, concern: Concern, director: Person) -> None:
    assert "Settled: It stands as recorded." in words(settle(client, concern, decision="stands", note="Tech log seen."))
    assert "Nothing has to be settled." in words(client.get(reverse("concern_list")))
    settled = words(client.get(reverse("concern_list"), {"settled": "yes"}))
    assert f"It stands as recorded . Tech log seen. {director}" in settled
    detail = words(client.get(reverse("concern_detail", args=[concern.pk])))
    assert "Decision It stands as recorded. Tech log seen." in detail
    again = settle(client, concern, decision="not_accepted", note="Second thoughts")
    assert again.status_code == 422
    assert f"{director} settled it" in words(again)
    for row in (concern, concern.settlement):
        with pytest.raises(TypeError):
            row.save()
        with pytest.raises(TypeError):
            row.delete()


@pytest.mark.parametrize(
    ("sheet", "says"),
    [
        ({"note": "Kept while it is refused"}, "Choose what is decided."),
        ({"decision": "perhaps", "note": "Kept while it is refused"}, "Select a valid choice."),
        ({"decision": "stands", "note": " "}, "Say in a note why it is decided so."),
    ],
)
def test_a_decision_needs_both(sheet: dict[str, str], says: str, client: Client, concern: Concern) -> None:
    refused = settle(client, concern, **sheet)
    assert refused.status_code == 422
    assert says in words(refused)
    assert "Kept while it is refused" in words(refused) or "Kept" not in sheet["note"]
    assert not hasattr(Concern.objects.get(), "settlement")


def test_others_read_it_and_do_not_settle_it(
    client: Client, concern: Concern, mechanic: Person, auditor: Person, stranger: Person
) -> None:
    for person in (mechanic, auditor):
        signed_in(client, person)
        page = words(client.get(reverse("concern_detail", args=[concern.pk])))
        assert "Not settled yet. The director of maintenance settles it." in page
        assert settle(client, concern, decision="stands", note="Mine").status_code == 403
    signed_in(client, stranger)
    assert client.get(reverse("concern_detail", args=[concern.pk])).status_code == 404
    assert settle(client, concern, decision="stands", note="Mine").status_code == 404
    assert "Nothing has to be settled." in words(client.get(reverse("concern_list")))


def test_the_list_is_narrowed(client: Client, concern: Concern, django_assert_max_num_queries: Any) -> None:
    address = reverse("concern_list")
    for query, found in (
        ({"kind": "late"}, 1),
        ({"kind": "evidence"}, 0),
        ({"serial": "0001"}, 1),
        ({"serial": "9"}, 0),
    ):
        assert len(client.get(address, query).context["page"].object_list) == found
    with django_assert_max_num_queries(10):
        client.get(address, {"kind": "late", "settled": "all"})


def test_a_keying_is_not_settled_by_whoever_entered_the_draft(
    client: Client, engine: Engine, director: Person, inspector: Person
) -> None:
    draft = TypeRevisionFactory.create(engine_type=engine.engine_type, entered_by=director, is_adopted=False)
    about = {"kind": Concern.Kind.KEYING, "revision": draft, "about": "ITT, running", "text": "Limit: apart"}
    concern = Concern.objects.create(operator=engine.operator, raised_by=inspector, **about)
    page, said = reverse("concern_detail", args=[concern.pk]), {"decision": "stands", "note": "Looked up"}
    shown = words(signed_in(client, director).get(page))
    assert "another director of maintenance has to settle it" in shown
    assert "Settle it" not in shown
    refused = client.post(page, said)
    assert (refused.status_code, Settlement.objects.count()) == (422, 0)
    assert "You entered this draft." in words(refused)
    other = PersonFactory.create(operator=engine.operator, role=DIRECTOR)
    assert signed_in(client, other).post(page, said).status_code == 302
    assert Settlement.objects.get().settled_by == other


def test_the_list_is_taken_away_as_it_is_narrowed(client: Client, engine: Engine, director: Person) -> None:
    recorded(engine, director, after=timedelta(days=5))
    recorded(engine, director, after=timedelta(days=6))
    settled = Concern.objects.latest("pk")
    page = reverse("concern_detail", args=[settled.pk])
    signed_in(client, director).post(page, {"decision": "stands", "note": "=Found in the field book"})
    table = reverse("concern_table", args=["csv"])
    lines = {
        asked: b"".join(client.get(table, {"settled": asked}).streaming_content).decode().splitlines()  # type: ignore[attr-defined]
        for asked in ("", "yes", "all")
    }
    assert [len(found) for found in lines.values()] == [2, 2, 3]
    assert lines["all"][0].startswith("What,Reason given,Kind,Of,Engine,Raised")
    assert "recorded 5 days after it began" in lines[""][1]
    assert f"'=Found in the field book,{director}" in lines["yes"][1]
    assert "list.csv?settled=yes" in client.get(reverse("concern_list"), {"settled": "yes"}).content.decode()


def test_a_view_of_what_is_to_be_settled_is_kept(client: Client, engine: Engine, director: Person) -> None:
    recorded(engine, director, after=timedelta(days=5))
    said = {"of": "concern_list", "name": "Late ones", "query": "kind=late&page=3"}
    kept = signed_in(client, director).post(reverse("view_keep"), said, follow=True)
    assert kept.redirect_chain[-1][0].startswith(f"{reverse('concern_list')}?kind=late&view=")
    assert "View Late ones" in words(kept)
