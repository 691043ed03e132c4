"""Pictures of EWMA and CUSUM charts: every line named, every start that signals marked."""

from dataclasses import replace

import pytest

from engines.control_charts import Drift, drift_of
from engines.start_rules import DriftRule
from inspections.drawing.control_picture import control_picture, control_summary, cusum_scene, ewma_scene
from inspections.drawing.shapes import Line, Marker, Polyline

VALUES = [31.0, 32, 30, 31, 32, 30, 31, 32, 31, 33, 36, 38]
SIZES = [(260.0, 320.0), (360.0, 320.0), (900.0, 380.0)]


def drift() -> Drift:
    found = drift_of(VALUES, DriftRule(baseline=8))
    assert found is not None
    return found


@pytest.mark.parametrize("size", SIZES)
def test_an_ewma_chart_names_its_lines_and_marks_what_signals(size: tuple[float, float]) -> None:
    scene = ewma_scene("From turning to idle", "s", VALUES, drift())
    picture = control_picture(scene, width=size[0], height=size[1])
    texts = " ".join(picture.texts)
    for words in ("From turning to idle: EWMA, s", "Upper limit", "Target", "Lower limit", "weighted mean", "signals"):
        assert words in texts
    assert scene.first == 9
    assert scene.dots == (31, 33, 36, 38)
    assert sum(isinstance(s, Line) and s.role == "limit" for s in picture.shapes) == 2
    assert sum(isinstance(s, Marker) and s.role == "single" for s in picture.shapes) == 4
    assert sum(isinstance(s, Marker) and s.role == "signal" for s in picture.shapes) == len(drift().ewma.signals) > 0


def test_a_cusum_chart_has_both_sums() -> None:
    scene = cusum_scene("From turning to idle", "s", drift())
    picture = control_picture(scene, width=900, height=380)
    assert sum(isinstance(s, Polyline) and s.role == "trace" for s in picture.shapes) == 2
    assert "Decision value" in " ".join(picture.texts)
    assert "single start" not in picture.texts


def test_the_same_in_words() -> None:
    said = control_summary(ewma_scene("From turning to idle", "s", VALUES, drift()))
    assert said.startswith("From turning to idle: EWMA, 4 starts from number 9 on. Newest: weighted mean")
    assert said.endswith("starts beyond.")
    calm = replace(cusum_scene("Peak", "°C", drift()), signals=())
    assert control_summary(calm).endswith("No start beyond.")


def test_a_single_start_is_charted() -> None:
    found = drift_of(VALUES[:9], DriftRule(baseline=8))
    assert found is not None
    picture = control_picture(ewma_scene("Peak", "°C", VALUES[:9], found), width=360, height=320)
    assert "9" in picture.texts
