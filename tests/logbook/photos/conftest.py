"""What tests of photos share."""

from pathlib import Path

import pytest
from django.core.files.storage import storages

from engines.models import Engine
from inspections.models import Inspection
from logbook.models import Person
from tests.logbook.screen_kit import inspection_opened


@pytest.fixture(autouse=True)
def photo_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """Keep the files of a test in a folder of its own, and return it."""
    for name in ("base_location", "location"):
        monkeypatch.setitem(vars(storages["traces"]), name, str(tmp_path / "kept"))
    return tmp_path / "kept"


@pytest.fixture
def inspection(engine: Engine, mechanic: Person) -> Inspection:
    """Return an inspection that a signed run called for, its steps not answered."""
    return inspection_opened(engine, mechanic)
