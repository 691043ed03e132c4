"""What tests of screens share: a recorder's file, a run with an inspection, and a look at the page's words."""

import re
from html import unescape
from typing import Any

import numpy as np
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from engines.evidence import ReadingFacts, RunFacts
from engines.models import Engine, Run
from inspections.models import Inspection
from logbook.actions import run_enter
from logbook.models import Person
from tests.factories import STARTED_AT
from tests.signed import run_signed

PASSWORD = "only for tests"
HTMX = {"HX-Request": "true", "HX-Current-URL": "http://testserver/inspections/"}


def recording_csv(peak: float = 770.0, above_s: int = 20, header: str = "time_s,itt,n1,torque,oil_press") -> bytes:
    """Return a recorded run as CSV, one row a second: a start, a plateau with one stretch at ``peak``, a stop."""
    itt = np.concatenate([np.full(5, 20), np.linspace(20, 600, 25), np.full(60, 640), np.full(above_s, peak)])
    itt = np.concatenate([itt, np.full(60, 640), np.linspace(640, 200, 30)])
    n1 = np.concatenate([np.zeros(5), np.linspace(6, 60, 25), np.full(60 + above_s + 60, 90), np.linspace(44, 0, 30)])
    pairs = enumerate(zip(itt, n1, strict=True))
    rows = [f"{t},{a:.1f},{b:.1f},{min(b, 80):.1f},{60 if b > 30 else 10}" for t, (a, b) in pairs]
    return "\n".join([header, *rows, ""]).encode()


def recording_file(name: str = "run.csv", **changes: Any) -> SimpleUploadedFile:
    """Return the recorded run as a browser sends it."""
    return SimpleUploadedFile(name, recording_csv(**changes), content_type="text/csv")


def run_with_inspection(engine: Engine, by: Person, *, peak: float = 770.0, seconds: float = 20.0) -> Run:
    """Record and sign a run whose typed reading calls for an inspection."""
    facts = RunFacts(
        id=Run().pk,
        kind=Run.Kind.GROUND_RUN,
        started_at=STARTED_AT,
        typed_run_time_s=1440,
        readings=(ReadingFacts("ITT, running", peak, seconds),),
    )
    run = run_enter(engine=engine, facts=facts, by=by)
    run_signed(run, by)
    return run


def inspection_opened(engine: Engine, by: Person) -> Inspection:
    """Record a run, and return the inspection that it called for."""
    return run_with_inspection(engine, by).inspections.get()


def signed_in(client: Client, person: Person) -> Client:
    """Return the client with a person signed in."""
    client.force_login(person)
    return client


def words(response: Any) -> str:
    """Return the words of a page as a reader sees them, in one line."""
    text = re.sub(r"<(script|title)\b.*?</\1>", " ", response.content.decode(), flags=re.S)
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", text)).split())


def act(client: Client, name: str, args: list[Any], **sent: Any) -> Any:
    """Read what would be signed, and sign it; return the answer, or the sheet where something is wrong with it."""
    address = reverse(name, args=args)
    read = client.post(address, sent)
    if read.status_code != 200:
        return read
    shown = read.context["read"]
    return client.post(address, sent | {"stage": "sign", "read": shown, "password": PASSWORD})
