"""How a recorder laid out its text file: delimiter, decimal mark, header, unit row, first row of numbers."""

import csv
import io
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from engines.errors import TraceError
from engines.recording_columns import Columns, header_parts, is_placeholder, plain_name
from engines.recording_plan import TIME_NAMES, Wish
from engines.recording_source import TextSource
from engines.recording_times import column_kind, kind_of
from engines.units import unit_known

BLANKS = r"\s+"
DELIMITERS = ("\t", ";", "|", ",", BLANKS)
TAIL = 60  # lines at the end of the head that show the shape of a row of numbers
SEARCHED = 400  # lines in which the header is looked for
SAMPLED = 100  # rows whose cells show what a column holds
POINT, COMMA = re.compile(r"[+-]?\d*\.\d+([eE][+-]?\d+)?"), re.compile(r"[+-]?\d*,\d+([eE][+-]?\d+)?")


@dataclass(frozen=True)
class Layout:
    """The layout of one text file; lines count from 1, ``data_offset`` from the text's first byte of UTF-8.

    ``decimal`` is None where the first rows show none; ``is_padded`` where blanks stand before quoted cells; ``width``
    is the most cells that one of the first rows has.
    """

    delimiter: str
    decimal: str | None
    columns: Columns
    header_line: int
    data_line: int
    data_offset: int
    width: int
    is_padded: bool


def cells_of(line: str, delimiter: str) -> list[str]:
    """Return the cells of one line, without quotes and without blanks around them.

    Parameters
    ----------
    line : str
        One line without its end.
    delimiter : str
        One character, or :data:`BLANKS`.

    Returns
    -------
    list of str
        Empty for an empty line.
    """
    if delimiter == BLANKS:
        line, delimiter = " ".join(line.split()), " "
    rows = csv.reader([line], delimiter=delimiter, skipinitialspace=True)
    return [cell.strip() for cell in next(rows, [])]


def names_wanted(wish: Wish) -> frozenset[str]:
    """Return the plain names that mark a row as the header.

    Parameters
    ----------
    wish : Wish
        The channels and the headers named by hand.

    Returns
    -------
    frozenset of str
        Names and labels of channels, headers named by hand, usual headers of a time.
    """
    names = [text for channel in wish.channels for text in (channel.name, channel.label)]
    return frozenset(plain_name(text) for text in [*names, *wish.columns.values()] if text) | TIME_NAMES


def _named(cells: Iterable[str], wanted: frozenset[str]) -> int:
    """Return how many cells of a row are names looked for."""
    words = [cell for cell in cells if cell.upper() != cell.lower()]
    return sum(plain_name(word) in wanted or plain_name(header_parts(word)[0]) in wanted for word in words)


def _telling(cells: Sequence[str]) -> int:
    """Return how many cells of a row are numbers or times."""
    return sum(kind_of(cell) != "text" for cell in cells)


def _shape(lines: Sequence[str], delimiter: str) -> tuple[float, int]:
    """Return how well a delimiter cuts lines into equally many numbers and times, and into how many cells."""
    scores = {1: 0.0}
    for line in lines:
        cells = cells_of(line, delimiter)
        if len(cells) > 1:
            # A wrong delimiter may leave halves of numbers, which are numbers, so the share of them counts too.
            said = sum(cell != "" for cell in cells) or 1
            scores[len(cells)] = scores.get(len(cells), 0.0) + _telling(cells) ** 2 / said
    width = max(scores, key=lambda count: scores[count])
    return scores[width], width


def _delimiter(lines: Sequence[str], wanted: frozenset[str]) -> tuple[str, int]:
    """Return the delimiter of a file and the usual number of cells in its rows of numbers."""
    best: tuple[tuple[bool, float], str, int] = ((False, 0.0), "", 1)
    for delimiter in DELIMITERS:
        if delimiter == BLANKS and best[0] > (True, 0.0):
            break  # blanks around another delimiter part the names as well
        if any((" " if delimiter == BLANKS else delimiter) in line for line in lines):
            score, width = _shape(lines[-TAIL:], delimiter)
            is_named = any(_named(cells_of(line, delimiter), wanted) > 1 for line in lines)
            best = max(best, ((is_named, score), delimiter, width), key=lambda found: found[0])
    if not best[1]:
        raise TraceError("The file holds no table; a recording has a header and rows of numbers, parted by commas.")
    return best[1:]


def _is_data(cells: Sequence[str]) -> bool:
    """Return whether a row is one of numbers: at least half of its cells that are not blank are numbers or times."""
    return 0 < sum(cell != "" for cell in cells) <= 2 * _telling(cells)


def _is_unit_row(cells: Sequence[str]) -> bool:
    """Return whether a row is one of units: no number, and most of its cells that say anything are units."""
    said = [cell for cell in cells if not is_placeholder(cell)]
    return not _telling(cells) and 0 < len(said) <= 2 * sum(unit_known(cell) is not None for cell in said)


def _header_index(rows: Sequence[list[str]], wanted: frozenset[str], width: int) -> int:
    """Return the row with the names that are looked for, else one just above the numbers."""
    first = next((k for k, cells in enumerate(rows) if len(cells) == width and _is_data(cells)), len(rows))
    wide = [k for k, cells in enumerate(rows) if 2 * sum(map(bool, cells)) >= width]
    named = {k: count for k in wide if (count := _named(rows[k], wanted)) and not _is_data(rows[k])}
    if named:
        # Lists of channels stand above the header; a recorder that starts anew writes the header again.
        return max(named, key=lambda k: (k < first, named[k], k if k < first else -k))
    return _nameless_header(rows, [k for k in wide if k < first])


def _nameless_header(rows: Sequence[list[str]], above: Sequence[int]) -> int:
    """Return the row just above the numbers, or the one above that where it holds units."""
    if not above:
        raise TraceError("No header stands above the numbers; the first row names the columns.")
    # Single letters are units as well as headers, so a row that looks like units is the header where no other is.
    return above[-2 if len(above) > 1 and _is_unit_row(rows[above[-1]]) else -1]


def _decimal(rows: Iterable[Sequence[str]], delimiter: str) -> str | None:
    """Return the decimal mark that most numbers with one have, None where none has."""
    if delimiter == ",":
        return "."
    cells = [cell for cells in rows for cell in cells]
    commas, points = (sum(pattern.fullmatch(cell) is not None for cell in cells) for pattern in (COMMA, POINT))
    return None if commas == points == 0 else "," if commas > points else "."


def _headers(row: Sequence[str], samples: Iterable[Sequence[str]]) -> tuple[str, ...]:
    """Return the names of the columns; a column with cells but no name is called by its number."""
    filled = {k for cells in samples for k, cell in enumerate(cells) if cell}
    names = [name or (f"column {k + 1}" if k in filled else "") for k, name in enumerate(row)]
    while not names[-1]:
        names.pop()
    return tuple(names)


def _columns(headers: tuple[str, ...], units: Sequence[str], samples: Iterable[Sequence[str]]) -> Columns:
    """Return what is known of the columns from the first rows."""
    filled = [[*cells, *[""] * len(headers)] for cells in samples]
    kinds = tuple(column_kind([cells[k] for cells in filled]) for k in range(len(headers)))
    return Columns(headers, kinds, {k: unit for k, unit in enumerate(units) if not is_placeholder(unit)})


def layout_of(source: TextSource, wish: Wish) -> Layout:
    """Return the layout of a text file from its head.

    Parameters
    ----------
    source : TextSource
        The file.
    wish : Wish
        What is looked for in it, whose names mark the header.

    Returns
    -------
    Layout
        With the columns' headers, kinds and units.

    Raises
    ------
    TraceError
        If the file holds no table, no header, or no row of numbers below it.

    Notes
    -----
    Some 400 lines of any shape may stand above the header, within the first 64 kB.
    """
    lines = list(io.StringIO(source.head, newline=""))
    if not source.is_whole:
        lines.pop()
    texts = [line.rstrip("\r\n") for line in lines]
    wanted = names_wanted(wish)
    delimiter, width = _delimiter([*texts[:SEARCHED], *texts[SEARCHED:][-TAIL:]], wanted)
    rows = [cells_of(text, delimiter) for text in texts[: SEARCHED + SAMPLED]]
    header = _header_index(rows, wanted, width)
    below = [k for k in range(header + 1, len(rows)) if texts[k].strip()]
    units = rows[below.pop(0)] if below and _is_unit_row(rows[below[0]]) else []
    if not below:
        raise TraceError(f"No rows of numbers stand below the header in line {header + 1}.")
    samples = [rows[k] for k in below[:SAMPLED]]
    headers = _headers(rows[header], samples)
    return Layout(
        delimiter=delimiter,
        decimal=_decimal(samples, delimiter),
        columns=_columns(headers, units, samples),
        header_line=header + 1,
        data_line=below[0] + 1,
        data_offset=len("".join(lines[: below[0]]).encode()),
        width=max(len(headers), *map(len, samples)),
        is_padded=any(re.search(rf'{re.escape(delimiter)}\s+"', texts[k]) for k in below[:SAMPLED]),
    )
