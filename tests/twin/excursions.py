"""Excursions: the parts of a trace beyond a limit, rejoined and chosen by regime."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from tests.twin.path import Gap, Point, Stretch
from tests.twin.reading import Chart, longer

Line = tuple[Point, ...]


@dataclass(frozen=True)
class Excursion:
    """One or more lines beyond the limit, each from where it leaves the limit to where it comes back."""

    lines: tuple[Line, ...]
    touches_gap: bool

    @property
    def start(self) -> Fraction:
        """Return the time at which it begins."""
        return self.lines[0][0].t

    @property
    def end(self) -> Fraction:
        """Return the time at which it ends."""
        return max(line[-1].t for line in self.lines)

    @property
    def seconds(self) -> Fraction:
        """Return the time spent beyond the limit."""
        return sum((line[-1].t - line[0].t for line in self.lines), Fraction(0))

    @property
    def peak(self) -> Fraction:
        """Return the highest signed value."""
        return max(point.x for line in self.lines for point in line)

    @property
    def rows(self) -> set[int]:
        """Return the rows of the samples in it."""
        return {point.row for line in self.lines for point in line if point.row is not None}

    def holds(self, other: "Excursion") -> bool:
        """Tell whether another excursion lies within this one's time."""
        return self.start <= other.start and other.end <= self.end


def chains(stretch: Stretch) -> Iterator[tuple[list[Point], bool, bool]]:
    """Yield the points between gaps, with whether a gap stands before and after them."""
    chain: list[Point] = []
    gap_before = False
    for item in stretch:
        if isinstance(item, Point):
            chain.append(item)
            continue
        if chain:
            yield chain, gap_before, True
        chain, gap_before = [], True
    if chain:
        yield chain, gap_before, False


def crossing(a: Point, b: Point, limit: Fraction) -> Point:
    """Return where the line between two points on either side of the limit meets it."""
    return Point(a.t + (b.t - a.t) * (limit - a.x) / (b.x - a.x), limit)


def lines_of(chain: list[Point], chart: Chart) -> list[Line]:
    """Return the parts of joined points beyond the limit, along the order of rows."""
    lines: list[list[Point]] = []
    before: Point | None = None
    for point in chain:
        was_out = before is not None and chart.is_out(before.x)
        if chart.is_out(point.x):
            if not was_out:
                lines.append([] if before is None else [crossing(before, point, chart.limit)])
            lines[-1].append(point)
        elif before is not None and was_out:
            lines[-1].append(crossing(before, point, chart.limit))
        before = point
    return [tuple(line) for line in lines]


def parts_of(stretch: Stretch, chart: Chart) -> list[Excursion]:
    """Return the single excursions of one stretch; those of no time count only where a gap touches."""
    parts = []
    for chain, gap_before, gap_after in chains(stretch):
        for line in lines_of(chain, chart):
            at_front = line[0] is chain[0] and gap_before
            at_back = line[-1] is chain[-1] and gap_after
            parts.append(Excursion((line,), at_front or at_back))
    return [part for part in parts if part.seconds > 0 or part.touches_gap]


def merged(excursions: list[Excursion]) -> Excursion:
    """Return several excursions as one."""
    lines = tuple(line for excursion in excursions for line in excursion.lines)
    return Excursion(lines, any(excursion.touches_gap for excursion in excursions))


def rejoined(parts: list[Excursion], rejoin_s: Fraction) -> list[Excursion]:
    """Return the excursions with those no further apart than allowed made one."""
    groups = [[part] for part in parts[:1]]
    for before, part in pairwise(parts):
        if longer(part.start - before.end, rejoin_s):
            groups.append([])
        groups[-1].append(part)
    return [merged(group) for group in groups]


def excursions_of(stretches: list[Stretch], chart: Chart) -> list[Excursion]:
    """Return the excursions of a trace, in order of start."""
    return rejoined([part for stretch in stretches for part in parts_of(stretch, chart)], chart.rejoin_s)


def concerns_start(excursion: Excursion, starting: tuple[Fraction, Fraction], chart: Chart) -> bool:
    """Tell whether an excursion begins in a starting regime or is going on when that begins."""
    begin, end = starting
    if begin <= excursion.start < end:
        return True
    if chart.on_line_is_out:
        return excursion.start <= begin <= excursion.end
    return excursion.start < begin < excursion.end


def sample_peak(excursion: Excursion, unraised: dict[int, Fraction]) -> Fraction | None:
    """Return the highest signed sample, as read, of the rows in an excursion."""
    return max((unraised[row] for row in excursion.rows), default=None)


def gaps_of(stretch: Stretch) -> list[Gap]:
    """Return the gaps of a trace."""
    return [item for item in stretch if isinstance(item, Gap)]
