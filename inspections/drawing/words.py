"""Figures as people write them: no more digits than help, never rounded onto the figure they are compared with."""

from collections.abc import Iterable

from engines.units import symbol_of

SAME = 1e-6  # closer than this two figures are one
MOST_PLACES = 6


def _plain(value: float, places: int) -> str:
    text = f"{value:.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def _places(value: float, least: int) -> int:
    """Return the decimals that leave two digits of a figure below one."""
    places, size = least, abs(value)
    while SAME < size < 10.0 ** (1 - places) and places < MOST_PLACES:
        places += 1
    return places


def figure(value: float, apart: Iterable[float] = (), places: int = 1) -> str:
    """Return a figure in decimals, without trailing zeros.

    Parameters
    ----------
    value : float
        The figure.
    apart : iterable of float
        Figures it is compared with: decimals are added until it no longer reads as one of them, unless it is one.
    places : int
        Decimals of a figure of ordinary size; small ones get more.

    Returns
    -------
    str
        For example ``"718"``, ``"70.7"`` or ``"0.04"``.
    """
    others = [other for other in apart if abs(other - value) > SAME]
    return next(
        text
        for places in range(_places(value, places), MOST_PLACES + 1)
        if (text := _plain(value, places)) not in {_plain(other, places) for other in others}
    )


def seconds_text(seconds: float, apart: Iterable[float] = ()) -> str:
    """Return a duration in seconds.

    Parameters
    ----------
    seconds : float
        The duration. [s]
    apart : iterable of float
        Durations it is compared with and must not read as. [s]

    Returns
    -------
    str
        For example ``"70.7 s"``.
    """
    return f"{figure(seconds, apart)} s"


def quantity(value: float, unit: str, apart: Iterable[float] = ()) -> str:
    """Return a value with its unit.

    Parameters
    ----------
    value : float
        The value. [unit]
    unit : str
        Name of the unit, for example ``"degC"``.
    apart : iterable of float
        Values it is compared with and must not read as. [unit]

    Returns
    -------
    str
        For example ``"718 °C"``.
    """
    return f"{figure(value, apart)} {symbol_of(unit)}"


def short_of(value: float) -> str:
    """Return a margin: one decimal, or as many as a small one needs.

    Parameters
    ----------
    value : float
        The margin, not negative.

    Returns
    -------
    str
        For example ``"2.0"`` or ``"0.04"``.
    """
    text = figure(value)
    return text if "." in text else f"{text}.0"


def clock_text(seconds: float, places: int = 0) -> str:
    """Return a time of the run in minutes and seconds.

    Parameters
    ----------
    seconds : float
        Time from the first row. [s]
    places : int
        Decimals of the seconds; left out where they are all zero.

    Returns
    -------
    str
        For example ``"17:02"`` or ``"17:02.4"``.
    """
    rounded = round(seconds, places)
    minutes, rest = divmod(abs(rounded), 60)
    whole, dot, decimals = f"{rest:.{places}f}".partition(".")
    tail = f".{decimals}" if dot and decimals.strip("0") else ""
    return f"{'-' if rounded < 0 else ''}{int(minutes)}:{int(whole):02d}{tail}"


def count_text(count: int, noun: str) -> str:
    """Return a count with its noun, in the plural where it is not one.

    Parameters
    ----------
    count : int
        How many.
    noun : str
        What, in the singular; its plural ends in s.

    Returns
    -------
    str
        For example ``"1,243 samples"`` or ``"1 gap"``.
    """
    return f"{count:,} {noun}{'' if count == 1 else 's'}"


def sentence_case(text: str) -> str:
    """Return a text with a capital at its beginning and the rest as it was.

    Parameters
    ----------
    text : str
        The text, not empty.

    Returns
    -------
    str
        For example ``"Area A"`` for ``"area A"``.
    """
    return f"{text[0].upper()}{text[1:]}"
