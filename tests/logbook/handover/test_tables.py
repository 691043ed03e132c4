"""Whatever stands about an engine or a part is packed, or left out for a reason that is written here."""

from django.apps import apps

from engines.models import Operator
from logbook.handover.tables import TABLE_OF, TABLES, TOLD, fields_of
from logbook.models import Person

LEFT_OUT = {
    "Authorization": "says who may inspect at one operator",
    "Entry": "goes as the document that was signed",
    "FirstStartEntry": "says only which of the entries ended a plan that goes itself",
    "PackageJob": "is of the operator's own work",
    "ProgrammeEntry": "says only which of the entries states a selection that goes itself",
    "PhotoStrike": "is of a photo that nobody signed, which stays behind with it",
    "PartDraft": "is not signed yet, or goes as the entry that it became",
    "PartStay": "is derived from the movements",
    "TaskEntry": "says only which of the entries recorded a line that goes itself",
    "ReceivedPackage": "goes whole, as it came",
    "ShutdownRecord": "is derived from the judgement and its trace",
    "StartRecord": "is derived from the judgement and its trace",
    "UsagePoint": "is derived from the runs",
    "Unsigned": "holds a hand-over up",
    "Work": "is not signed yet, or goes as the entry that it became",
}


def test_everything_about_an_engine_is_packed_or_left_out_for_a_reason() -> None:
    packed = {table.model for table in (*TABLES, *TOLD)}
    about = {
        model.__name__
        for model in apps.get_models()
        if model not in packed and {field.related_model for field in model._meta.concrete_fields} & packed
    }
    assert about == set(LEFT_OUT)


def test_rows_name_only_rows_of_tables_before_their_own() -> None:
    before: set[type] = {Person, Operator}
    for table in TABLES:
        before.add(table.model)
        named = {field.related_model for field in fields_of(table.model)} - {None}
        assert named <= before, table.name
    assert set(TABLE_OF) == {table.model for table in TABLES}
