"""The starter's duty cycle over an engine's turnings: starts, dry motoring and wet motoring alike."""

from datetime import datetime, timedelta
from typing import Final

from django.utils import timezone

from engines.charts import EngineTypeData
from engines.models import Engine
from engines.starter_duty import DutyCycle, Engagement, duty_of, duty_words
from inspections.models import StartRecord
from inspections.start_queries import starts_within

LOOKED_BACK: Final = timedelta(hours=12)


def engagements(engine: Engine, cycle: DutyCycle, last: datetime) -> list[tuple[StartRecord, Engagement, datetime]]:
    """Return each turning whose starter a channel shows, how it keeps to the cycle, and when the starter was let go."""
    shown, spans = [], []
    for row in starts_within(engine, last, LOOKED_BACK):
        engaged, let_go = (row.figures.get(name) for name in ("starter_s", "starter_off_s"))
        if engaged is None or let_go is None:
            continue
        began = row.at + timedelta(seconds=engaged - row.figures["turning_s"])
        ended = began + timedelta(seconds=let_go - engaged)
        shown.append((row, ended))
        spans.append((began.timestamp(), ended.timestamp()))
    return [(row, one, at) for (row, at), one in zip(shown, duty_of(spans, cycle), strict=True)]


def starter_words(start: StartRecord, engine: Engine, data: EngineTypeData) -> str:
    """Return how a start keeps to the starter's duty cycle; "" where the type states none or no channel shows it."""
    if data.starter is None:
        return ""
    found = [one for row, one, _ in engagements(engine, data.starter, start.at) if row.pk == start.pk]
    return duty_words(found[0]) if found else ""


def rest_words(engine: Engine, data: EngineTypeData, now: datetime) -> str:
    """Return until when the type asks for the starter to rest; "" where that is over, or nothing is known of it."""
    found = engagements(engine, data.starter, now) if data.starter else []
    if not found:
        return ""
    _, one, at = found[-1]
    until = at + timedelta(seconds=one.rest_s)
    if until <= now:
        return ""
    return f"{duty_words(one)} The type asks for rest until {timezone.localtime(until):%H:%M:%S}."
