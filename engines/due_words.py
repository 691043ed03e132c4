"""What is left, when it runs out and by which use, in words."""

from collections.abc import Iterable, Mapping
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

from engines.counters import SECONDS, Counter, counter_of
from engines.due import DAYS, Remaining
from engines.forecast import CONFIDENCE, STATED_D, Span, Use
from engines.tasks import Interval
from engines.times import SECONDS_PER_HOUR, hours_text


def amount_words(counter: Counter, amount: float) -> str:
    """Return an amount of a counter with its unit.

    Parameters
    ----------
    counter : Counter
        The counter.
    amount : float
        How much. [s or counts]

    Returns
    -------
    str
        For example ``"12.5 h of time in service"``, ``"40 starts"``; counts with one decimal where they have one.
    """
    name = counter.label.lower()
    if counter.unit == SECONDS:
        return f"{hours_text(round(amount))} h of {name}"
    figure = _tenth(amount)
    return f"{figure} {name.removesuffix('s') if figure == '1' else name}"


def _tenth(amount: float) -> str:
    rounded = Decimal(repr(amount)).quantize(Decimal("0.1"), rounding=ROUND_HALF_UP)
    return str(int(rounded)) if rounded == int(rounded) else str(rounded)


def left_words(part: Remaining, further: tuple[Counter, ...] = ()) -> str:
    """Return what is left of one parameter.

    Parameters
    ----------
    part : Remaining
        What is left; negative where it was passed.
    further : tuple of Counter
        What the type counts besides.

    Returns
    -------
    str
        For example ``"12.5 h of time in service left"`` or ``"3 days over"``.
    """
    over = part.left < 0
    if part.counter == DAYS:
        count = abs(part.left)
        words = f"{count} day" if count == 1 else f"{count} days"
    else:
        words = amount_words(counter_of(part.counter, further), abs(part.left))
    return f"{words} over" if over else f"{words} left"


def due_at_words(part: Remaining, further: tuple[Counter, ...] = ()) -> str:
    """Return at what one parameter is due.

    Parameters
    ----------
    part : Remaining
        The parameter.
    further : tuple of Counter
        What the type counts besides.

    Returns
    -------
    str
        A day, or an amount since new.
    """
    if part.counter == DAYS:
        return f"{date.fromordinal(part.due_at)}"
    return amount_words(counter_of(part.counter, further), part.due_at)


def interval_words(interval: Interval | None, further: tuple[Counter, ...] = ()) -> str:
    """Return an interval, whichever of its parameters comes first.

    Parameters
    ----------
    interval : Interval or None
        The interval.
    further : tuple of Counter
        What the type counts besides.

    Returns
    -------
    str
        For example ``"100.0 h of run time, 50 starts or 6 months, whichever comes first"``; ``"none"`` for none.
    """
    if interval is None:
        return "none"
    said = [amount_words(counter_of(name, further), amount) for name, amount in interval.amounts]
    lengths = ((interval.days, "day"), (interval.months, "month"), (interval.calendar_months, "calendar month"))
    said += [f"{count} {noun}" if count == 1 else f"{count} {noun}s" for count, noun in lengths if count is not None]
    if len(said) == 1:
        return said[0]
    return f"{', '.join(said[:-1])} or {said[-1]}, whichever comes first"


def span_words(span: Span | None, today: date) -> str:
    """Return between which days something is reached.

    Parameters
    ----------
    span : Span or None
        From how many days to how many; None where no use is foreseen.
    today : date
        The day from which it is counted.

    Returns
    -------
    str
        One day where both are the same.
    """
    if span is None:
        return "no day can be foretold"
    first, last = span.days(today)
    if last is None:
        return f"not before {first}; no last day can be foretold"
    return f"{first}" if first == last else f"{first} to {last}"


def use_words(counter: Counter, use: Use | None) -> str:
    """Return a use and where it comes from.

    Parameters
    ----------
    counter : Counter
        The counter.
    use : Use or None
        The use; None where too little was recorded.

    Returns
    -------
    str
        The assumption that a forecast stands on.
    """
    name = counter.label.lower()
    if use is None:
        return f"{name}: too little recorded to foretell from"
    if use.low is not None and use.high is not None:
        low, high = (_figure(counter, amount) for amount in (use.low, use.high))
        stated = low if low == high else f"{low} to {high}"
        return f"{stated} {_noun(counter)} in {STATED_D} days, as stated"
    mean, spread = _figure(counter, use.mean), _figure(counter, use.spread)
    return f"{mean} {_noun(counter)} a week over the last {use.periods} weeks (standard deviation {spread})"


def _figure(counter: Counter, amount: float) -> str:
    return _tenth(amount / SECONDS_PER_HOUR if counter.unit == SECONDS else amount)


def _noun(counter: Counter) -> str:
    return f"h of {counter.label.lower()}" if counter.unit == SECONDS else counter.label.lower()


def assumption_words(counters: Iterable[str], uses: Mapping[str, Use | None], further: tuple[Counter, ...] = ()) -> str:
    """Return the assumptions of a forecast over several counters.

    Parameters
    ----------
    counters : iterable of str
        Names of the counters that the forecast goes by; days need no assumption.
    uses : mapping of str to Use or None
        The use of each.
    further : tuple of Counter
        What the type counts besides.

    Returns
    -------
    str
        What they are, and how sure a range is that rests on observed use; ``"By the calendar alone"`` where only days
        count.
    """
    named = [name for name in counters if name != DAYS]
    if not named:
        return "By the calendar alone"
    said = "; ".join(use_words(counter_of(name, further), uses.get(name)) for name in named)
    observed = any((use := uses.get(name)) is not None and not use.is_stated for name in named)
    return f"At {said}. A range to hold in {CONFIDENCE} of cases" if observed else f"At {said}"
