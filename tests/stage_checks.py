"""Checks before starts on the stage: a type that has some, answered many times."""

from engines.models import Engine, TypeRevision
from logbook.models import Person
from logbook.start_checks import check_enter
from tests.visitors import Places

CHECKS = {"before_start": [{"name": "Levers and fuel off"}, {"name": "Battery at rest", "unit": "V", "least": 24}]}


def checks_asked(engine: Engine) -> TypeRevision:
    """Give the engine's type checks before a start, and return the revision that has them."""
    revision: TypeRevision = engine.engine_type.revisions.filter(is_adopted=True).latest("number")
    revision.document["checks"] = CHECKS
    revision.save(update_fields=["document"])
    return revision


def checks_set(engine: Engine, by: Person, rows: int) -> Places:
    """Give the engine's type checks before a start, answer them many times, and return the places of one answer."""
    revision = checks_asked(engine)
    why = {1: "Ground power goes on next"}
    for _ in range(rows):
        check = check_enter(engine=engine, revision=revision, answers=["so", 22.0], reasons=why, by=by)
    return {("checks/", "pk"): check.pk}
