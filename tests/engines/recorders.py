"""Files as recorders write them, in memory, for the tests that read them."""

import io
from typing import Any

from engines.charts import Channel, EngineTypeData
from engines.recordings import recording_read
from engines.traces import Recording

# Invented for the tests; no limits are set.
ENGINE_TYPE = EngineTypeData(
    name="Invented for the tests",
    channels=(
        Channel("itt", "Interstage turbine temperature", "degC"),
        Channel("n1", "Gas generator speed", "percent"),
        Channel("oil_press", "Oil pressure", "psi"),
    ),
    charts=(),
)


def file_of(text: str | bytes) -> io.BytesIO:
    """Return a text as an open file, in UTF-8 where it is not bytes already."""
    return io.BytesIO(text.encode() if isinstance(text, str) else text)


def read(text: str | bytes, **given: Any) -> Recording:
    """Return what is read from a text by the engine type of the tests."""
    return recording_read(file_of(text), ENGINE_TYPE, **given)
