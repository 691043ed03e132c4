"""The clock of a recording: ISO 8601 stamps, clock stamps and plain seconds, as seconds from the first row."""

import re
from collections import Counter
from collections.abc import Sequence
from datetime import datetime
from typing import Any, Literal, cast

import numpy as np
from numpy.typing import NDArray

from engines.traces import Floats

Kind = Literal["number", "stamp", "date", "clock", "text"]
Ticks = NDArray[np.int64]  # microseconds, NOT_A_TIME where there is none

NOT_A_TIME = np.iinfo(np.int64).min
HALF_DAY, DAY = 43_200_000_000, 86_400_000_000
ZONE = r"\s*(Z|z|[+-]\d{2}(:?\d{2})?)?"
DATE = r"\d{4}([-/.])\d{1,2}\1\d{1,2}"
WHOLE = r"[1-9]\d{3}.{8}"  # the least that a date and a clock take
CLOCK = r"\d{1,3}:\d{2}(:\d{2}([.,]\d+)?)?"
PATTERNS: tuple[tuple[Kind, re.Pattern[str]], ...] = (
    ("number", re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?")),
    ("clock", re.compile(CLOCK)),
    ("stamp", re.compile(rf"{DATE}([Tt]|\s+)\d{{1,2}}:\d{{2}}(:\d{{2}}([.,]\d+)?)?{ZONE}")),
    ("stamp", re.compile(rf"\d{{8}}[Tt]\d{{4}}(\d{{2}}([.,]\d+)?)?{ZONE}")),
    ("date", re.compile(DATE)),
)


def kind_of(text: str) -> Kind:
    """Return what one cell looks like.

    Parameters
    ----------
    text : str
        The cell, without blanks around it.

    Returns
    -------
    str
        ``"number"``, ``"clock"``, ``"stamp"`` (date and clock), ``"date"``, or ``"text"`` for anything else.
    """
    return next((kind for kind, pattern in PATTERNS if pattern.fullmatch(text)), "text")


def column_kind(cells: Sequence[str]) -> Kind:
    """Return what most cells of a column look like, blanks and words left out.

    Parameters
    ----------
    cells : sequence of str
        Some cells of the column.

    Returns
    -------
    str
        As :func:`kind_of`; ``"text"`` where no cell is a number or a time.
    """
    kinds = Counter(map(kind_of, cells))
    del kinds["text"]
    return max(kinds, key=lambda kind: kinds[kind], default="text")


def ticks_of(texts: Any, kind: Kind) -> Ticks:
    """Return stamps as whole microseconds.

    Parameters
    ----------
    texts : pandas.Series of str, shape (n,)
        Cells without blanks around them; a comma may stand before the fraction.
    kind : str
        ``"stamp"`` or ``"clock"``.

    Returns
    -------
    array of int64, shape (n,)
        Since 1970 in UTC, a stamp without a zone read as UTC; or since midnight; the smallest integer where the text
        is no such stamp. [µs]
    """
    import pandas as pd

    texts = texts.str.replace(",", ".", regex=False)
    colons = texts.str.count(":").fillna(0)
    if kind == "clock":
        texts = texts.where(colons != 1, texts + ":00")
        moments = pd.to_timedelta(texts.where(colons > 0), errors="coerce")
        return cast(Ticks, moments.to_numpy("timedelta64[us]").astype(np.int64))
    # pandas also reads "now", a year alone, and years before the calendar.
    moments = pd.to_datetime(texts.where(texts.str.match(WHOLE)), format="ISO8601", utc=True, errors="coerce")
    return cast(Ticks, moments.dt.tz_localize(None).to_numpy("datetime64[us]").astype(np.int64))


def seconds_of(ticks: Ticks, kind: Kind) -> Floats:
    """Return the seconds of each stamp from the first.

    Parameters
    ----------
    ticks : array of int64, shape (n,)
        Stamps as :func:`ticks_of` gives them, none missing. [µs]
    kind : str
        ``"stamp"`` or ``"clock"``.

    Returns
    -------
    array of float, shape (n,)
        Seconds from the first stamp, each as near as a float can be. [s]

    Notes
    -----
    A clock that jumps back by more than twelve hours has passed midnight; a smaller jump back stays one.
    """
    if kind == "clock":
        ticks = ticks + DAY * np.concatenate([[0], np.cumsum(np.diff(ticks) < -HALF_DAY)])
    return cast(Floats, (ticks - ticks[0]) / 1e6)


def moment_of(text: str) -> datetime:
    """Return the date and time of one stamp, with its zone where it gives one.

    Parameters
    ----------
    text : str
        An ISO 8601 stamp, perhaps with a comma before the fraction.

    Returns
    -------
    datetime
        Aware where the stamp has a zone.
    """
    import pandas as pd

    return cast(datetime, pd.to_datetime([text.replace(",", ".")], format="ISO8601")[0].to_pydatetime())
