"""Figures, ages and states as the templates write them."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from urllib.parse import parse_qsl

from django import template
from django.http import HttpRequest
from django.utils import timezone
from django.utils.html import conditional_escape, format_html

from engines import times, units
from engines.due_words import interval_words, left_words
from engines.times import hours_text
from engines.web import kept_as
from inspections import states
from inspections.advisory import AdvisoryCount
from inspections.drawing import facts, words
from logbook.engine_papers.advisory import passed_words
from logbook.ledger.answers import entry_state
from logbook.maintenance.sections import sections_of
from logbook.models import Entry
from logbook.phrases import age_words
from logbook.printing import wording
from logbook.printing.retention import keep_of

register = template.Library()

# A text on the screen writes blanks, days and moments as its print does.
for words_of in (wording.given, wording.moment_text, wording.day_text, wording.hours_given, wording.kind_text):
    register.filter(words_of.__name__, words_of)
register.filter(sections_of.__name__, sections_of)
register.filter("left", left_words)
register.filter("interval", interval_words)

register.filter(facts.facts_in_order.__name__, facts.facts_in_order)

STATE_SHAPES = {
    states.OPEN: "open",
    states.IN_WORK: "begun",
    states.APPROVED: "serviceable",
    states.NOT_APPROVED: "held",
}


@register.filter
def read_as(reading: Any) -> str:
    """Return what a reading typed in another unit was turned into, of a row or of an entry's text."""
    return wording.read_as_words(reading if isinstance(reading, Mapping) else vars(reading))


@register.filter
def hours(seconds: int | None) -> str:
    """Return a time in hours with two decimals, without its unit."""
    return "not recorded" if seconds is None else hours_text(seconds, 2)


@register.filter
def tenths(seconds: int) -> str:
    """Return a time in hours with one decimal, without its unit: totals, as they are printed."""
    return hours_text(seconds, 1)


@register.filter
def hours_minutes(seconds: int) -> str:
    """Return a time in hours and whole minutes, rounded once."""
    return times.clock_text(seconds)


@register.filter
def symbol(unit: str) -> str:
    """Return how a unit is written for people."""
    return units.symbol_of(unit)


@register.filter
def figure(value: float | None) -> str:
    """Return a figure in decimals without trailing zeros."""
    return "not known" if value is None else words.figure(value)


@register.filter
def percent(share: float) -> str:
    """Return a share in percent."""
    return f"{words.figure(100 * share)} %"


@register.filter
def exact(value: float) -> str:
    """Return a figure with as many decimals as it has, up to six."""
    return words.figure(value, places=6)


@register.filter
def clock(seconds: float) -> str:
    """Return a time of the run in minutes and seconds."""
    return words.clock_text(seconds, 1)


@register.filter
def age(opened_at: datetime) -> str:
    """Return how long ago something was, in whole days and in words."""
    return age_words((timezone.localdate() - timezone.localdate(opened_at)).days)


@register.filter
def days_since(moment: datetime) -> int:
    """Return how many whole days ago something was. [d]"""
    return (timezone.localdate() - timezone.localdate(moment)).days


@register.filter
def pairs_sent(query: str) -> list[tuple[str, str]]:
    """Return the names and values of an address's question, to be sent again by a form."""
    return parse_qsl(query)


@register.filter
def shape(state: str) -> str:
    """Return the name of the shape that stands beside an inspection's state."""
    return STATE_SHAPES[state]


@register.filter
def counted(count: int, noun: str) -> str:
    """Return a count with its noun, in the plural where it is not one."""
    return words.count_text(count, noun)


@register.filter
def grouped(count: int) -> str:
    """Return a count with its thousands apart, as counts are written in sentences."""
    return f"{count:,}"


@register.simple_tag(takes_context=True)
def stated(context: dict[str, Any], key: str, text: str) -> str:
    """Return a text of an entry, struck through where a correction says otherwise."""
    return format_html("<del>{}</del>", text) if key in context.get("gone", ()) else conditional_escape(text)


@register.filter
def standing(entry: Entry) -> str:
    """Return whether an entry stands, or what its correction made of it."""
    return entry_state(entry)


@register.filter
def passed(count: AdvisoryCount) -> str:
    """Return how often one of the operator's own limits was passed."""
    return passed_words(count)


@register.filter
def keep(body: Mapping[str, Any]) -> str:
    """Return how long an entry has to be kept at least."""
    return keep_of(body)


@register.filter
def may(user: Any, act: str) -> bool:
    """Return whether a person's role allows an act."""
    return bool(user.may(act))


@register.simple_tag(takes_context=True)
def kept(context: dict[str, Any]) -> str:
    """Return what has a sheet's boxes kept on the device: under which name, and whether the server sent it back."""
    name = kept_as(context["request"], context.get("kept_as", ""))
    is_sent = getattr(context.get("form"), "is_bound", False)
    return format_html(' data-draft="{}"{}', name, " data-sent" if is_sent else "")


@register.simple_tag(takes_context=True)
def asked(context: dict[str, Any], **changes: object) -> str:
    """Return the address's own questions with some of them changed, for the links between pages of a list."""
    request: HttpRequest = context["request"]
    query = request.GET.copy()
    for name, value in changes.items():
        query[name] = str(value)
    return query.urlencode()
