"""Storing the inspection programmes that the demo's director selected, through the same act that people use."""

import json
from collections.abc import Mapping
from datetime import date, timedelta

from django.db import transaction

from engines.models import Engine
from engines.programmes import Selection
from logbook.demo.plan import FIXTURES
from logbook.models import Person
from logbook.programmes import SELECTS, programme_sign
from logbook.signing import DEMO, Signing


@transaction.atomic
def programmes_load(engines: Mapping[str, Engine], people: Mapping[str, Person], today: date) -> None:
    """Store what the fixture says of each engine for whose aircraft no programme is selected yet."""
    fixture = json.loads((FIXTURES / "programmes.json").read_text(encoding="utf-8"))
    begun = {serial for serial, engine in engines.items() if engine.programmes.exists()}
    for told in (told for told in fixture["selections"] if told["serial"] not in begun):
        by, from_on = people[told["by"]], today - timedelta(days=told["days_ago"])
        said = Selection(**told["says"], from_on=from_on)
        signing = Signing(DEMO, SELECTS, by.certificates.first())
        programme_sign(engine=engines[told["serial"]], said=said, by=by, signing=signing)
