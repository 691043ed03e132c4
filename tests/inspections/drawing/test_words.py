import pytest

from inspections.drawing.words import clock_text, count_text, figure, quantity, seconds_text, short_of


@pytest.mark.parametrize(
    ("value", "apart", "text"),
    [
        (718.0, (), "718"),
        (70.69999999999993, (), "70.7"),
        (0.04, (), "0.04"),
        (0.625, (), "0.62"),
        (-0.01, (), "-0.01"),
        (-1e-9, (), "0"),
        (700.04, (700.0,), "700.04"),
        (700.0000001, (700.0,), "700"),
        (60.0, (60.0, 5.0), "60"),
        (59.96, (60.0,), "59.96"),
        (1.000002, (1.0,), "1.000002"),
    ],
)
def test_figure_says_enough_and_no_more(value: float, apart: tuple[float, ...], text: str) -> None:
    assert figure(value, apart) == text


def test_figures_carry_their_units() -> None:
    assert (quantity(718, "degC"), seconds_text(60.001, (60,))) == ("718 °C", "60.001 s")


@pytest.mark.parametrize(("value", "text"), [(2.0, "2.0"), (1.3, "1.3"), (0.04, "0.04"), (0.0, "0.0")])
def test_margins_keep_a_decimal(value: float, text: str) -> None:
    assert short_of(value) == text


@pytest.mark.parametrize(
    ("seconds", "places", "text"),
    [
        (0, 0, "0:00"),
        (1050, 0, "17:30"),
        (1022.4, 1, "17:02.4"),
        (59.96, 1, "1:00"),
        (3600, 1, "60:00"),
        (-5, 0, "-0:05"),
    ],
)
def test_clock(seconds: float, places: int, text: str) -> None:
    assert clock_text(seconds, places) == text


@pytest.mark.parametrize(("count", "text"), [(1, "1 gap"), (0, "0 gaps"), (1243, "1,243 gaps")])
def test_counts(count: int, text: str) -> None:
    assert count_text(count, "gap") == text
