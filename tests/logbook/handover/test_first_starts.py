"""First-start plans go over with a record, and coming from another owner may ask for one."""

from io import BytesIO

from engines.actions import plan_open
from engines.models import Engine, FirstStart
from logbook.conditions import conditions_of
from logbook.handover.importing import package_import
from logbook.models import Person
from tests.engines.first_starts_kit import DRY, MANUAL, UNLIT
from tests.first_starts import GOOD, asks_for_first_starts, covering, recorded
from tests.logbook.handover.records import packed_of
from tests.signed import run_signed, signing_of


def test_a_plan_goes_on_and_is_asked_for_again(
    engine: Engine, mechanic: Person, director: Person, stranger: Person
) -> None:
    covering(director, "running")
    plan = plan_open(engine=asks_for_first_starts(engine), trigger=None, reason="Bled", by=director)
    for step, ending in ((DRY, GOOD), (MANUAL, UNLIT)):
        line = recorded(plan, step, ending, mechanic, trainee="Wren Ashdown", supervisor=director)
        run_signed(line.run, mechanic)
    data = packed_of(engine, director)
    package = package_import(
        BytesIO(data), operator=stranger.operator, by=stranger, signing=signing_of(stranger, "Taken in")
    )
    assert package.engine is not None
    arrived = FirstStart.objects.get(engine=package.engine)
    assert [(line.step, line.ending, line.is_done) for line in arrived.lines.all()] == [
        (DRY, GOOD, True), (MANUAL, UNLIT, False),
    ]  # fmt: skip
    first = arrived.lines.first()
    assert (first.run.trainee, str(first.run.supervisor)) == ("Wren Ashdown", str(director))
    assert [cause.when for cause in arrived.causes.all()] == ["by_hand", "engine_fitted"]
    assert arrived.progress.done == 0  # the steps begin again where it is fitted now
    assert conditions_of([package.engine])[package.engine.pk].reasons[-1].startswith("First start not completed")
