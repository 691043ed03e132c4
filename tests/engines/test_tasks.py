"""Tasks as data, and as documents that are checked field by field."""

from datetime import date
from typing import Any

import pytest

from engines.documents import engine_type_read
from engines.errors import DocumentError
from engines.task_documents import task_document_read
from engines.tasks import Interval, TaskData
from tests.documents import type_document

DIRECTIVE = {
    "name": "Turbine disc, eddy current inspection",
    "kind": "directive",
    "mandatory": True,
    "number": "INV-2026-04",
    "revision": "1",
    "revision_date": "2026-03-02",
    "initial": {"time_in_service_h": 99.5, "months": 3},
    "repeat": {"cycles": 400, "calendar_months": 12},
    "extension": {"days": 10},
    "counts_from": "begun",
    "done_with": ["Overhaul"],
    "reference": "invented manual 72-50",
    "source": "invented for the tests",
}


def test_a_directive_is_read_whole() -> None:
    assert task_document_read(DIRECTIVE) == TaskData(
        name="Turbine disc, eddy current inspection",
        kind="directive",
        mandatory=True,
        initial=Interval((("time_in_service", 358200),), months=3),
        repeat=Interval((("cycles", 400),), calendar_months=12),
        extension=Interval(days=10),
        counts_from="begun",
        done_with=("Overhaul",),
        number="INV-2026-04",
        revision="1",
        revision_date=date(2026, 3, 2),
        reference="invented manual 72-50",
        source="invented for the tests",
    )


@pytest.mark.parametrize(
    ("changes", "title"),
    [
        ({}, "Turbine disc, eddy current inspection (INV-2026-04 revision 1)"),
        ({"revision": None}, "Turbine disc, eddy current inspection (INV-2026-04)"),
        ({"kind": "other", "number": None, "revision": None}, "Turbine disc, eddy current inspection"),
    ],
)
def test_a_task_is_called_with_its_number(changes: dict[str, Any], title: str) -> None:
    assert task_document_read(DIRECTIVE | changes).title == title


def test_a_task_that_does_not_repeat_is_done_once() -> None:
    once = task_document_read({"name": "Filter", "kind": "oil_filter", "mandatory": False, "initial": {"starts": 5}})
    assert (once.is_recurring, task_document_read(DIRECTIVE).is_recurring) == (False, True)


@pytest.mark.parametrize(
    ("changes", "path", "words"),
    [
        ({"kind": None}, "kind", "is missing"),
        ({"kind": "odd"}, "kind", "must be"),
        ({"mandatory": False}, "mandatory", "must be true for an airworthiness directive"),
        ({"number": None}, "number", "an airworthiness directive has one"),
        ({"revision_date": "2 March"}, "revision_date", "must be a day"),
        ({"initial": None, "repeat": None}, "initial", "never due"),
        ({"initial": {}}, "initial", "at least one of"),
        ({"initial": {"landings": 3}}, "initial.landings", "is not known here"),
        ({"initial": {"cycles": 0}}, "initial.cycles", "must not be below 1"),
        ({"initial": {"run_time_h": 0}}, "initial.run_time_h", "must be above 0"),
        ({"initial": {"run_time_h": 1e7}}, "initial.run_time_h", "must not be above"),
        ({"initial": {"days": 20_000}}, "initial.days", "must not be above 18000"),
        ({"initial": {"months": 601}}, "initial.months", "must not be above 600"),
        ({"initial": {"months": 1.5}}, "initial.months", "must be a whole number"),
        ({"source": None}, "source", "an extension is granted by a document"),
        ({"kind": "preservation"}, "initial", "goes by the calendar alone"),
        ({"colour": "red"}, "colour", "is not known here"),
    ],
)
def test_what_is_malformed_is_refused_with_its_path(changes: dict[str, Any], path: str, words: str) -> None:
    with pytest.raises(DocumentError) as refused:
        task_document_read(DIRECTIVE | changes)
    assert words in refused.value.fields[path]


def test_at_once_is_a_time_of_no_days() -> None:
    task = task_document_read(DIRECTIVE | {"initial": {"days": 0}})
    assert task.initial == Interval(days=0)
    assert task.initial.has_calendar
    assert not Interval((("starts", 1),)).has_calendar


def test_a_type_has_tasks_each_of_its_own_name() -> None:
    overhaul = {"name": "Overhaul", "kind": "overhaul", "mandatory": True, "repeat": {"time_in_service_h": 3000}}
    tasks = engine_type_read(type_document() | {"tasks": [DIRECTIVE, overhaul]}).tasks
    assert [task.name for task in tasks] == [DIRECTIVE["name"], "Overhaul"]
    assert engine_type_read(type_document()).tasks == ()
    with pytest.raises(DocumentError) as refused:
        engine_type_read(type_document() | {"tasks": [overhaul, overhaul, DIRECTIVE | {"done_with": ["Wash"]}]})
    assert refused.value.fields == {
        "tasks[1].name": "“Overhaul” is used twice",
        "tasks[2].done_with": "“Wash” is not a task of this type",
    }
