"""The twin's margins against their definition, tried out: a little less does not enter the area, a little more does.

Only the curve's and the edge's own values are used here, and that both are straight between their turning points.
"""

from collections.abc import Callable, Iterator
from fractions import Fraction
from itertools import pairwise

from hypothesis import HealthCheck, given, settings

from tests.twin.areas import Edge, seconds_short, value_short
from tests.twin.curve import Curve, judged_curve
from tests.twin.reading import Chart, chart_read
from tests.twin.strategies import Generated, cases
from tests.twin.verdict import case_of, pair_of

F = Fraction
LITTLE = F(1, 10**9)
Judged = tuple[Chart, Curve, Edge]


def straight_limits(function: Callable[[Fraction], Fraction], a: Fraction, b: Fraction) -> tuple[Fraction, Fraction]:
    """Return the limits at both ends of an open interval on which a function is straight."""
    third = (b - a) / 3
    first, second = function(a + third), function(b - third)
    return 2 * first - second, 2 * second - first


def pieces(curve: Curve, edge: Edge, rise: Fraction) -> list[Fraction]:
    """Return the values of the area at which the raised curve or the edge may turn, and one past them all."""
    values = {level + rise for level in curve.levels()} | {value for value, _ in edge.area.corners}
    inside = sorted({value for value in values if value >= edge.first})
    return [*inside, inside[-1] + 1]


def raised_time(judged: Judged, rise: Fraction) -> Callable[[Fraction], Fraction]:
    """Return the curve raised by so much, cut off at the limit."""
    chart, curve, _ = judged
    return lambda value: curve.at(max(value - rise, chart.limit))


def exceeds(judged: Judged, rise: Fraction) -> bool:
    """Tell whether the raised curve is anywhere above the edge."""
    _, curve, edge = judged
    time = raised_time(judged, rise)

    def over(value: Fraction) -> Fraction:
        return time(value) - edge.at(value)

    values = pieces(curve, edge, rise)
    between = [limit for a, b in pairwise(values) for limit in straight_limits(over, a, b)]
    return max([over(value) for value in values] + between) > 0


def lasts_on_the_edge(judged: Judged, rise: Fraction) -> bool:
    """Tell whether the raised curve, where it lasts at all, is anywhere on the edge, at a turning point or between."""
    _, curve, edge = judged
    time = raised_time(judged, rise)
    values = pieces(curve, edge, rise)
    tried = values + [(a + b) / 2 for a, b in pairwise(values)]
    return any(time(value) > 0 and time(value) >= edge.at(value) for value in tried)


def would_enter(judged: Judged, rise: Fraction) -> bool:
    """Tell whether the curve raised by so much enters the area, to no microsecond."""
    # Anywhere above the edge is a time above nothing too.
    return exceeds(judged, rise) or (judged[0].on_line_is_out and lasts_on_the_edge(judged, rise))


def shortest(judged: Judged) -> Fraction | None:
    """Return the infimum of allowed less spent time over the values that lasted."""
    _, curve, edge = judged

    def short(value: Fraction) -> Fraction:
        return edge.at(value) - curve.at(value)

    values = pieces(curve, edge, F(0))
    found = [short(value) for value in values if curve.at(value) > 0]
    for a, b in pairwise(values):
        if curve.at((a + b) / 2) > 0:
            found += straight_limits(short, a, b)
    return max(min(found), F(0)) if found else None


def judged_areas(generated: Generated) -> Iterator[Judged]:
    """Yield every excursion of a case, possible ones too, with every area of its chart."""
    case = case_of(generated.document, generated.times, generated.columns)
    for part in generated.document["charts"]:
        chart = chart_read(generated.document, part)
        if not case.samples(chart.channel):
            continue
        pair = pair_of(chart, case)
        for excursion in [*pair.proven, *pair.possible]:
            for area in chart.areas:
                yield chart, judged_curve(excursion, chart), Edge(area)


@settings(max_examples=300, derandomize=True, deadline=None, database=None, suppress_health_check=list(HealthCheck))
@given(cases())
def test_margins_are_what_they_are_defined_to_be(generated: Generated) -> None:
    for judged in judged_areas(generated):
        chart, curve, edge = judged
        assert seconds_short(curve, edge) == shortest(judged)
        rise = value_short(curve, edge, chart)
        if rise is None:
            # At the latest, the whole curve raised past the last corner would enter.
            assert not would_enter(judged, edge.area.corners[-1][0] - chart.limit + 1)
        else:
            assert would_enter(judged, rise + LITTLE)
            assert rise == 0 or not would_enter(judged, rise - LITTLE)
