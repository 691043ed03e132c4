"""Inspections of exceedances end under the operator's rules too (14 CFR 43.9, 43.11, 65.87; AMC M.A.801(f))."""

from typing import Any

import pytest
from django.utils import timezone

from engines.errors import DomainError
from engines.models import Engine
from inspections import actions
from inspections.models import Inspection
from logbook.actions import inspection_sign
from logbook.maintenance.rules import rules_choose
from logbook.models import Entry, Person
from logbook.statements.coverage import AIRFRAME, CERTIFYING
from tests.logbook.maintenance.kit import certified, signing
from tests.logbook.screen_kit import inspection_opened


@pytest.fixture
def inspection(engine: Engine, mechanic: Person, inspector: Person) -> Inspection:
    """Return an inspection whose steps are done and that a second person looked at."""
    opened = inspection_opened(engine, mechanic)
    for step in opened.steps.all():
        actions.step_answer(step=step, answer="done", reason="", by=mechanic)
    actions.inspection_second(inspection=opened, by=inspector)
    return Inspection.objects.get(pk=opened.pk)


def ended(inspection: Inspection, by: Person, **changes: Any) -> Entry:
    """End an inspection as approved, or as the changes say."""
    facts = {"outcome": "approved", "extent": "Hot section looked at.", "completed_on": timezone.localdate()}
    return inspection_sign(inspection=inspection, by=by, signing=signing(by), **facts | changes)


def test_R_43_9_a_5_the_statement_is_the_operators(inspection: Inspection, mechanic: Person) -> None:
    statement = ended(inspection, mechanic).body["release"]["statement"]
    for said in ("Hot section inspection, called for by", "In respect of the work described, and of nothing else"):
        assert said in statement


def test_R_43_11_a_5_a_refusal_names_the_list(inspection: Inspection, mechanic: Person) -> None:
    actions.finding_add(inspection=inspection, text="Blade burnt", by=mechanic)
    entry = ended(inspection, mechanic, outcome="not_approved", given_to="Owner of the test engine")
    number, today = inspection.number, timezone.localdate()
    assert f"number {number}, dated {today}, was given to Owner" in entry.body["release"]["statement"]


def test_R_65_87_a_certificate_that_does_not_cover_it_is_refused(inspection: Inspection, mechanic: Person) -> None:
    certified(mechanic, AIRFRAME)
    with pytest.raises(DomainError, match="does not cover a special inspection") as refused:
        ended(inspection, mechanic)
    assert refused.value.code == "certificate_does_not_cover"
    assert not Entry.objects.filter(kind="inspection").exists()


def test_R_CRS_4_limitations_are_said_where_the_rules_want_them(
    inspection: Inspection, mechanic: Person, director: Person
) -> None:
    rules_choose(by=director, ruleset="easa", organisation="Testholm Repair (invented)", approval="TST.145.1")
    certified(mechanic, CERTIFYING)
    for said in ({}, {"limitations": "none"}):
        with pytest.raises(DomainError, match="The rules want it said") as refused:
            ended(inspection, mechanic, **said)
        assert refused.value.code == "closing_refused"
    statement = ended(inspection, mechanic, limitations="none", incomplete="None.").body["release"]["statement"]
    assert "Limitations: none. Work left incomplete: none." in statement
    assert "Part-145" in statement
