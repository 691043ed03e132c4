"""What the tests of the REST door send."""

import json
import uuid
from typing import Any

from engines.models import Engine

API = "/api/v1/"
RUNS = f"{API}runs/"
COLD = 650.0
SAMPLES = 121


def run_body(engine: Engine, **changes: Any) -> dict[str, Any]:
    """Return a run as a client would state it, with an id of its own."""
    stated = {
        "id": str(uuid.uuid4()),
        "engine": engine.pk,
        "kind": "ground_run",
        "started_at": "2026-05-04T07:30:00Z",
        "run_time_s": 120,
        "starts": 1,
    }
    return {**stated, **changes}


def trace_csv(*, hot_s: int = 0, hot: float = COLD, header: str = "itt") -> str:
    """Return a recorded run of two minutes at one sample a second, above idle, hot from the fortieth second on."""
    lines = [f"time_s,{header},n1,torque,oil_press"]
    for second in range(SAMPLES):
        reading = hot if 40 <= second <= 40 + hot_s and hot_s else COLD
        lines.append(f"{second},{reading},90,60,55")
    return "\n".join(lines) + "\n"


def problem_of(response: Any, status: int) -> dict[str, Any]:
    """Return a refusal's document, after checking that it is one and of that status."""
    assert response.status_code == status, response.content
    assert response["Content-Type"] == "application/problem+json"
    body: dict[str, Any] = json.loads(response.content)
    assert body["status"] == status
    assert set(body) - {"fields"} == {"type", "title", "status", "detail", "code"}
    return body
