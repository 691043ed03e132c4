import pytest

from engines.charts import LimitChart
from inspections.drawing.bands import band_names, band_words, bands_of, levels_of
from tests.inspections.drawing.cases import BARE, LOW_OIL, RUNNING, STARTING


@pytest.mark.parametrize(
    ("chart", "levels", "words"),
    [
        (RUNNING, (700, 720, 760), ["A over 60 s", "A at once, B over 5 s", "B at once"]),
        (LOW_OIL, (60, 50, 40, 25), ["A from 30 s", "A from 5 s", "A at once, B from 10 s", "B at once"]),
        (
            STARTING,
            (750, 760, 800, 850, 900, 950),
            [
                "",
                "1 over 10 to 5 s",
                "1 over 5 to 0 s, 2 over 8 to 4 s",
                "1 at once, 2 over 4 to 0 s, 3 over 6 to 3 s",
                "2 at once, 3 over 3 to 0 s",
                "3 at once",
            ],
        ),
        (BARE, (900,), [""]),
    ],
)
def test_bands_say_what_they_call_for(chart: LimitChart, levels: tuple[float, ...], words: list[str]) -> None:
    assert levels_of(chart) == levels
    assert [band_words(band, chart) for band in bands_of(chart)] == words


def test_bands_know_how_far_they_go_and_how_severe_they_are() -> None:
    bands = bands_of(STARTING)
    assert [band.severity for band in bands] == [None, 0, 1, 2, 2, 2]
    assert (bands[0].near, bands[0].far, bands[-1].near, bands[-1].far) == (750, 760, 950, None)


def test_bands_have_short_names() -> None:
    names = [band_names(band, STARTING) for band in bands_of(STARTING)]
    assert names == ["", "area 1", "area 1 or 2", *["area 1, 2 or 3"] * 3]
