"""Numbers as people type them on a phone: with a point or a comma, and refused in words where they could mislead."""

import re
from decimal import Decimal

MOST_DIGITS = 12
MARKS = ".,"
_PLAIN = re.compile(r"([+-]?)([0-9]*)(?:[.,]([0-9]+))?", re.ASCII)


def number_typed(text: str) -> Decimal:
    """Return the number that a person typed.

    Parameters
    ----------
    text : str
        Digits, at most one decimal point or comma, perhaps a sign before; spaces around it do not matter.

    Returns
    -------
    Decimal
        The number, exactly as typed. [the unit of the box it was typed in]

    Raises
    ------
    ValueError
        If the text is not one number or can be read as two; the message says what to write instead.

    Notes
    -----
    ``"1,234"`` may mean 1234 or 1.234, a factor of a thousand, so three digits after the only mark are refused unless
    nothing but zero stands before it.
    """
    typed = text.strip().replace("\N{MINUS SIGN}", "-")
    found = _PLAIN.fullmatch(typed)
    if found is None or not any(c.isdigit() for c in typed):
        raise ValueError(_wrong(typed))
    sign, whole, decimals = found[1], found[2], found[3] or ""
    if len(whole) + len(decimals) > MOST_DIGITS:
        raise ValueError(f"“{typed}” has more than {MOST_DIGITS} digits; write fewer.")
    if _is_two_fold(whole, decimals):
        raise ValueError(
            f"“{typed}” can be read as {whole}{decimals} or as {whole}.{decimals}. "
            f"Write {whole}{decimals} without a mark, or {whole}.{decimals[:2]} with fewer decimals."
        )
    return Decimal(f"{sign}{whole}.{decimals}" if decimals else f"{sign}{whole}")


def count_typed(text: str) -> int:
    """Return the whole number, 0 or more, that a person typed.

    Parameters
    ----------
    text : str
        Digits; spaces around them do not matter.

    Returns
    -------
    int
        The count.

    Raises
    ------
    ValueError
        If the text is not a whole number or is below 0; the message says what to write instead.
    """
    number = number_typed(text)
    if number < 0:
        raise ValueError(f"“{text.strip()}” is below 0; write 0 or more.")
    if number != number.to_integral_value():
        raise ValueError(f"“{text.strip()}” is not a whole number; write for example 1.")
    return int(number)


def _is_two_fold(whole: str, decimals: str) -> bool:
    """Return whether the mark between digits may as well part thousands."""
    return len(decimals) == 3 and 0 < len(whole) <= 3 and bool(whole.strip("0"))


def _wrong(typed: str) -> str:
    """Return what is wrong with a text that is not a number, and what would be right."""
    if typed.count("-") + typed.count("+") > 1:
        return f"“{typed}” has more than one sign; write one minus at most, for example -3."
    if "." in typed and "," in typed:
        return f"“{typed}” has both a point and a comma; write one mark only, before the decimals, for example 1234.5."
    if sum(typed.count(mark) for mark in MARKS) > 1:
        return f"“{typed}” has more than one decimal mark; write for example 1.2."
    if typed and typed[-1] in MARKS:
        return f"“{typed}” ends with its decimal mark; write the digits after it, or leave it out."
    if any(c.isspace() for c in typed):
        return f"“{typed}” has a space in it; write the digits together, for example 1234."
    return f"“{typed}” is not a number; write digits, for example 12.5."
