"""Items as a phone sends them."""

import uuid
from datetime import UTC, datetime
from typing import Any

from django.test import Client

from engines.models import Engine
from inspections.models import Inspection
from logbook.models import Person

DOOR = "/api/v1/outbox/"


def item(by: Person, **said: Any) -> dict[str, Any]:
    """Return an item in the newest format."""
    now = datetime.now(UTC).isoformat()
    base = {"id": str(uuid.uuid4()), "format": 3, "author": by.pk, "kept_at": now, "sent_at": now}
    return {**base, "kept_offset_min": 120, "charts": [], "fields": [], **said}


def run_item(engine: Engine, by: Person, *boxes: list[str], **said: Any) -> dict[str, Any]:
    """Return a run as a phone keeps it."""
    charts = [chart.name for chart in engine.engine_type.revisions.earliest("number").data.charts]
    fields = [["kind", "ground_run"], ["started_at", "2026-05-04T07:30"], ["run_time", "0.4"], *boxes]
    return item(by, kind="run", about=str(engine.pk), fields=fields, charts=charts, **said)


def hot_item(engine: Engine, by: Person) -> dict[str, Any]:
    """Return a run whose reading calls for an inspection."""
    body = run_item(engine, by)
    place = body["charts"].index("ITT, running")
    return {**body, "fields": [*body["fields"], [f"peak_{place}", "770"], [f"seconds_{place}", "20"]]}


def answer_item(inspection: Inspection, by: Person, step: int = 1, answer: str = "done") -> dict[str, Any]:
    """Return an answer to a step as a phone keeps it."""
    fields = [[f"step{step}-answer", answer], [f"step{step}-reason", ""]]
    return item(by, kind="answer", about=f"{inspection.pk}/{step}", fields=fields)


def sent(client: Client, body: dict[str, Any]) -> Any:
    """Send an item."""
    return client.post(DOOR, body, content_type="application/json")
