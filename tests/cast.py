"""The people of the tests: four of one operator, and a stranger of another."""

import pytest

from engines.models import Engine, Operator
from logbook.access import AUDITOR, DIRECTOR, INSPECTOR, MECHANIC
from logbook.models import Person
from tests.factories import CertificateFactory, EngineFactory, OperatorFactory, PersonFactory


def certified(person: Person, kind: str) -> Person:
    """Return a person who has been given a certificate."""
    CertificateFactory.create(person=person, kind=kind)
    return person


def operator_stored() -> Operator:
    """Store the operator that the cast works for."""
    return OperatorFactory.create(name="Testholm Flying Service")


def engine_stored(operator: Operator) -> Engine:
    """Store an engine of the operator, its limits in force."""
    return EngineFactory.create(operator=operator, serial="TB-0001")


def mechanic_stored(operator: Operator) -> Person:
    """Store a mechanic, who records runs, works inspections and signs."""
    person = PersonFactory.create(operator=operator, username="mechanic", role=MECHANIC)
    return certified(person, "Mechanic, airframe and powerplant")


def director_stored(operator: Operator) -> Person:
    """Store the director of maintenance."""
    person = PersonFactory.create(operator=operator, username="director", role=DIRECTOR)
    return certified(person, "Mechanic with inspection authorization")


@pytest.fixture
def operator(db: None) -> Operator:
    """Return the operator that the cast works for."""
    return operator_stored()


@pytest.fixture
def engine(operator: Operator) -> Engine:
    """Return an engine of the operator, its limits in force."""
    return engine_stored(operator)


@pytest.fixture
def mechanic(operator: Operator) -> Person:
    """Return a mechanic, who records runs, works inspections and signs."""
    return mechanic_stored(operator)


@pytest.fixture
def inspector(operator: Operator) -> Person:
    """Return an inspector, who gives the second signature."""
    person = PersonFactory.create(operator=operator, username="inspector", role=INSPECTOR)
    return certified(person, "Mechanic with inspection authorization")


@pytest.fixture
def director(operator: Operator) -> Person:
    """Return the director of maintenance."""
    return director_stored(operator)


@pytest.fixture
def auditor(operator: Operator) -> Person:
    """Return an auditor, who reads and prints."""
    return PersonFactory.create(operator=operator, username="auditor", role=AUDITOR)


@pytest.fixture
def stranger(db: None) -> Person:
    """Return a director of another operator, who must see nothing of the first."""
    other = OperatorFactory.create(name="Farholm Air")
    return certified(PersonFactory.create(operator=other, username="stranger", role=DIRECTOR), "Mechanic")
