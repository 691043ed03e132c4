"""Rows for tests, each valid by itself and of one operator throughout."""

import datetime
from typing import Any

import factory
from factory.django import DjangoModelFactory

from engines.models import Component, Engine, EngineType, Operator, Reading, Run, TypeRevision
from inspections.models import Inspection, Step
from logbook.access import MECHANIC
from logbook.models import Certificate, Person
from tests.documents import type_document

STARTED_AT = datetime.datetime(2026, 5, 4, 7, 30, tzinfo=datetime.UTC)


class OperatorFactory(DjangoModelFactory[Operator]):
    class Meta:
        model = Operator

    name = factory.Sequence(lambda n: f"Operator {n}")
    place = "Testholm"


class PersonFactory(DjangoModelFactory[Person]):
    class Meta:
        model = Person
        skip_postgeneration_save = True

    operator = factory.SubFactory(OperatorFactory)
    username = factory.Sequence(lambda n: f"person-{n}")
    first_name = "Test"
    last_name = factory.Sequence(lambda n: f"Person {n}")
    role = MECHANIC
    password = factory.django.Password("only for tests")


class CertificateFactory(DjangoModelFactory[Certificate]):
    class Meta:
        model = Certificate

    person = factory.SubFactory(PersonFactory)
    kind = "Mechanic, airframe and powerplant"
    number = factory.Sequence(lambda n: f"T-{n:05}")


class EngineTypeFactory(DjangoModelFactory[EngineType]):
    class Meta:
        model = EngineType

    operator = factory.SubFactory(OperatorFactory)
    name = factory.Sequence(lambda n: f"Testbird TB-{n}")


class TypeRevisionFactory(DjangoModelFactory[TypeRevision]):
    """The first revision of a type, adopted and in force from the beginning."""

    class Meta:
        model = TypeRevision

    engine_type = factory.SubFactory(EngineTypeFactory)
    number = factory.LazyAttribute(lambda revision: revision.engine_type.revisions.count() + 1)
    document = factory.LazyFunction(type_document)
    source = "invented for the tests"
    entered_by = factory.SubFactory(PersonFactory, operator=factory.SelfAttribute("..engine_type.operator"))
    is_adopted = True


class EngineFactory(DjangoModelFactory[Engine]):
    """An engine whose type has a revision in force."""

    class Meta:
        model = Engine
        skip_postgeneration_save = True

    operator = factory.SubFactory(OperatorFactory)
    engine_type = factory.SubFactory(EngineTypeFactory, operator=factory.SelfAttribute("..operator"))
    serial = factory.Sequence(lambda n: f"TB-9{n:04}")  # none of those that tests name
    fitted_to = "test stand"

    @factory.post_generation
    def revision(self: Engine, create: bool, extracted: Any, **changes: Any) -> None:
        """Give the type its first revision unless it has one; ``revision=False`` leaves it without."""
        if create and extracted is not False and not self.engine_type.revisions.exists():
            TypeRevisionFactory.create(engine_type=self.engine_type, **changes)


class RunFactory(DjangoModelFactory[Run]):
    """A run as it stands before it is judged."""

    class Meta:
        model = Run

    engine = factory.SubFactory(EngineFactory)
    operator = factory.SelfAttribute("engine.operator")
    kind = Run.Kind.GROUND_RUN
    started_at = STARTED_AT
    recorded_by = factory.SubFactory(PersonFactory, operator=factory.SelfAttribute("..operator"))
    request_digest = "0" * 64


class ReadingFactory(DjangoModelFactory[Reading]):
    class Meta:
        model = Reading

    run = factory.SubFactory(RunFactory)
    chart = "ITT, running"
    unit = "degC"
    peak = 715.0
    seconds = 30.0
    recorded_by = factory.SelfAttribute("run.recorded_by")


class InspectionFactory(DjangoModelFactory[Inspection]):
    """An open inspection that holds its engine."""

    class Meta:
        model = Inspection

    run = factory.SubFactory(RunFactory)
    operator = factory.SelfAttribute("run.operator")
    engine = factory.SelfAttribute("run.engine")
    revision = factory.LazyAttribute(lambda inspection: inspection.engine.engine_type.revisions.get(number=1))
    number = factory.LazyAttribute(lambda inspection: inspection.operator.inspections.count() + 1)
    chart = "ITT, running"
    rule = "area B"
    summary = "Hot section inspection"
    before_next_flight = True


class StepFactory(DjangoModelFactory[Step]):
    class Meta:
        model = Step

    inspection = factory.SubFactory(InspectionFactory)
    position = factory.LazyAttribute(lambda step: step.inspection.steps.count() + 1)
    text = "Look at the turbine blades"


class ComponentFactory(DjangoModelFactory[Component]):
    class Meta:
        model = Component

    operator = factory.SubFactory(OperatorFactory)
    part_number = "TB-100"
    serial = factory.Sequence(lambda n: f"P-{n:04}")
