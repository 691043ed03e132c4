"""What an engine type document says of indication, the operator's own limits, power and trend."""

from typing import Any

import pytest

from engines.calibration import Indication
from engines.documents import engine_type_read
from engines.errors import DocumentError
from tests.documents import type_document

TORQUE = {"channel": "torque", "reads": ["PSI"], "full": {"value": 1480, "unit": "ft-lb"}}


def test_how_channels_may_be_indicated_is_read() -> None:
    read = engine_type_read(type_document(calibration=[TORQUE, {"channel": "itt"}]))
    assert read.indications == (Indication("torque", ("psi",), 1480, "lbf*ft"), Indication("itt"))
    assert read.indication("torque") == read.indications[0]
    assert read.indication("n1") is None
    assert engine_type_read(type_document()).indications == ()


@pytest.mark.parametrize(
    ("changes", "path", "says"),
    [
        ({"channel": "egt"}, "calibration[0].channel", "is not a channel of this type"),
        ({"reads": ["flurb"]}, "calibration[0].reads[0]", "is not a unit that is known"),
        ({"channel": "itt", "reads": ["degF"], "full": None}, "calibration[0].reads[0]", "needs no calibration"),
        ({"channel": "itt"}, "calibration[0].full", "the channel is in degC"),
        ({"full": {"value": 0, "unit": "N*m"}}, "calibration[0].full.value", "must be above 0"),
        ({"full": {"value": 1, "unit": "flurb"}}, "calibration[0].full.unit", "is not a unit"),
        ({"full": {"value": 1}}, "calibration[0].full.unit", "is missing"),
        ({"scale": 1}, "calibration[0].scale", "is not known here"),
    ],
)
def test_what_is_wrong_with_an_indication(changes: dict[str, Any], path: str, says: str) -> None:
    with pytest.raises(DocumentError) as refused:
        engine_type_read(type_document(calibration=[TORQUE | changes]))
    assert says in refused.value.fields[path]


def test_a_channel_is_named_once() -> None:
    with pytest.raises(DocumentError) as refused:
        engine_type_read(type_document(calibration=[TORQUE, TORQUE]))
    assert refused.value.fields == {"calibration[1].channel": "“torque” is used twice"}
