"""An engine with a whole record to hand over: runs, a trace, an inspection that was signed, a part."""

import datetime
import uuid
from io import BytesIO
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile

from engines.actions import part_fit
from engines.evidence import ReadingFacts, RunFacts
from engines.models import Engine, Run
from logbook.actions import run_enter, trace_enter
from logbook.handover.export import Export, package_write
from logbook.handover.gathering import scope_of_engine
from logbook.models import Person
from tests.cast import director_stored, engine_stored, mechanic_stored, operator_stored
from tests.factories import STARTED_AT, ComponentFactory
from tests.signed import run_signed
from tests.stage import pulses_csv


def recorded(engine: Engine, by: Person, *, runs: int = 3) -> Run:
    """Return the engine's newest run, which has a trace; all of its runs are signed."""
    part = ComponentFactory.create(operator=engine.operator, brought_run_time_s=3600, brought_cycles=7)
    begun = STARTED_AT - datetime.timedelta(days=runs + 1)
    part_fit(component=part, engine=engine, at=begun, by=by, position="turbine, stage 1")
    for k in range(runs, -1, -1):
        reading = ReadingFacts("ITT, running", 770.0, 20.0)
        facts = RunFacts(
            uuid.uuid4(), Run.Kind.FLIGHT, STARTED_AT - datetime.timedelta(days=k), typed_run_time_s=1440 + k,
            typed_starts=1, typed_cycles=1, readings=(reading,) if k < 2 else (), remarks=f"Run {k}",
        )  # fmt: skip
        run = run_enter(engine=engine, facts=facts, by=by)
        if k == 0:
            file = SimpleUploadedFile("run.csv", pulses_csv(2), content_type="text/csv")
            trace_enter(run=run, file=file, name="run.csv", by=by)
        run_signed(run, by)
    return run


def record_stored() -> dict[str, Any]:
    """Store an engine with a whole record, and return it with the people of its operator."""
    operator = operator_stored()
    engine, mechanic, director = engine_stored(operator), mechanic_stored(operator), director_stored(operator)
    recorded(engine, mechanic)
    return {"operator": operator, "engine": engine, "mechanic": mechanic, "director": director}


def packed_of(engine: Engine, by: Person) -> bytes:
    """Return the package of an engine."""
    out = BytesIO()
    package_write(Export(scope_of_engine(engine), engine.operator, by), out)
    return out.getvalue()
