"""The columns of a recording by their headers: which fits a name, and in which unit it stands."""

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from engines.charts import Channel
from engines.errors import TraceError
from engines.recording_times import Kind
from engines.units import unit_known

# What recorders write for "nothing here", beside marks without a letter.
PLACEHOLDERS = frozenset(
    {"n/a", "#n/a", "na", "nan", "null", "none", "nil", "inf", "err", "error", "ovr", "inv", "bad"}
)
BRACKETED = re.compile(r"(.*\S)\s*[\[(]\s*([^\[\]()]+?)\s*[\])]")
HeaderTest = Callable[[str], bool]
SHOWN = 40  # headers listed in a message


@dataclass(frozen=True)
class Columns:
    """What is known of a file's columns: headers, what their cells look like, units that stand under the headers."""

    headers: tuple[str, ...]
    kinds: tuple[Kind, ...]
    units: Mapping[int, str]


def plain_name(text: str) -> str:
    """Return a header without the differences that do not matter: case, blanks, underscores, hyphens.

    Parameters
    ----------
    text : str
        A header or a channel's name.

    Returns
    -------
    str
    """
    return re.sub(r"[\s_\-]+", " ", text.casefold()).strip()


def header_parts(header: str) -> tuple[str, str]:
    """Return a header's name and the text in brackets at its end.

    Parameters
    ----------
    header : str
        For example ``"ITT [degC]"`` or ``"itt (°C)"``.

    Returns
    -------
    tuple of (str, str)
        The second is empty where there are no brackets.
    """
    found = BRACKETED.fullmatch(header)
    return (found[1], found[2]) if found else (header, "")


def is_placeholder(cell: str) -> bool:
    """Return whether a cell says that there is no value.

    Parameters
    ----------
    cell : str
        Without blanks around it.

    Returns
    -------
    bool
        True for blanks, ``"---"``, ``"N/A"`` and their kind.
    """
    return cell.casefold() in PLACEHOLDERS or not any(c.isalnum() or c in "%°" for c in cell)


def headers_listed(headers: Iterable[str]) -> str:
    """Return headers as a message lists them.

    Parameters
    ----------
    headers : iterable of str
        All headers of a file.

    Returns
    -------
    str
        The first forty that are not blank.
    """
    shown = [f"“{header}”" for header in headers if header]
    return ", ".join(shown[:SHOWN]) + (f" and {len(shown) - SHOWN} more" if len(shown) > SHOWN else "")


def column_fitting(table: Columns, tests: Iterable[HeaderTest], name: str) -> int | None:
    """Return the one column that passes the first test which any passes.

    Parameters
    ----------
    table : Columns
        The file's columns.
    tests : iterable of function
        Each says of a header whether it passes; the strictest comes first.
    name : str
        What the column is looked for, for the message.

    Returns
    -------
    int or None
        The column's index; None where no column passes any test.

    Raises
    ------
    TraceError
        If two columns pass the same test.
    """
    for passes in tests:
        found = [k for k, header in enumerate(table.headers) if header and passes(header)]
        if len(found) > 1:
            raise TraceError(
                f"Columns {', '.join(str(k + 1) for k in found[:-1])} and {found[-1] + 1} both fit {name} "
                f"(“{table.headers[found[0]]}”); name one header for it, each header once."
            )
        if found:
            return found[0]
    return None


def header_tests(name: str) -> tuple[HeaderTest, ...]:
    """Return how a header is found by its name: as it is written, else but for what does not matter.

    Parameters
    ----------
    name : str
        The header looked for.

    Returns
    -------
    tuple of function
        For :func:`column_fitting`.
    """
    return (lambda header: header == name.strip(), lambda header: plain_name(header) == plain_name(name))


def channel_matched(table: Columns, channel: Channel) -> int | None:
    """Return the column that a channel's name or label finds.

    Parameters
    ----------
    table : Columns
        The file's columns.
    channel : Channel
        The channel looked for.

    Returns
    -------
    int or None
        The index of the column: its header is the name, or the name but for case, blanks, underscores and hyphens, or
        that with a unit in brackets behind it, or the label; None where there is none.

    Raises
    ------
    TraceError
        If two columns fit equally well.
    """
    name, label = plain_name(channel.name), plain_name(channel.label)
    return column_fitting(
        table,
        (
            *header_tests(channel.name),
            lambda header: _name_before_unit(header) == name,
            lambda header: label in (plain_name(header), _name_before_unit(header)),
        ),
        channel.name,
    )


def _name_before_unit(header: str) -> str | None:
    """Return a header's plain name where a unit stands in brackets behind it."""
    name, bracket = header_parts(header)
    return plain_name(name) if bracket and unit_known(bracket) else None


def column_unit(table: Columns, index: int, given: str | None, usual: str) -> str:
    """Return the unit of a column: what the file says, else what the caller gives, else the usual one.

    Parameters
    ----------
    table : Columns
        The file's columns.
    index : int
        The column.
    given : str or None
        The unit to take where the file does not say.
    usual : str
        The unit to take where neither says.

    Returns
    -------
    str
        The unit's canonical name.

    Raises
    ------
    TraceError
        If the unit is not known.
    """
    bracket = header_parts(table.headers[index])[1]
    said = [table.units.get(index, ""), bracket if unit_known(bracket) else ""]
    text = next((unit for unit in said if unit and (unit_known(unit) or not given)), given or usual)
    known = unit_known(text)
    if known is None:
        raise TraceError(
            f"“{text}”, the unit of column “{table.headers[index]}”, is not known; give the column's unit, "
            "for example degC, percent, rpm or psi."
        )
    return known
