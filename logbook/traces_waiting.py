"""A recorded file between its upload and the moment when its columns are known: kept for a day, part of no record."""

import contextlib
import secrets
from dataclasses import asdict, dataclass, replace
from datetime import datetime, timedelta
from typing import Any, BinaryIO, cast

from django.core.files.base import File
from django.core.files.storage import storages
from django.core.files.uploadedfile import UploadedFile
from django.urls import reverse
from django.utils import timezone

from engines.charts import EngineTypeData
from engines.errors import DomainError
from engines.models import Engine, Run, RunTrace
from engines.queries import revision_in_force
from engines.recordings import Proposal, columns_propose, recording_read
from engines.regimes import segments_of
from engines.web import ScreenRequest
from logbook.actions import trace_enter

FOLDER = "waiting"
KEPT_FOR = timedelta(days=1)
SESSION_KEY = "traces_waiting"
TIME = "time_s"


@dataclass(frozen=True)
class WaitingTrace:
    """A file that waits: its random name in the storage, what it was called, and the run it belongs to."""

    token: str
    name: str
    run: str

    @property
    def path(self) -> str:
        """Return where it is kept."""
        return f"{FOLDER}/{self.token}"

    def address(self, run: Run) -> str:
        """Return the address at which its columns are matched."""
        return f"{reverse('trace_add', args=[run.pk])}?waiting={self.token}"

    def open(self) -> "File[bytes]":
        """Open the file for reading."""
        return storages["traces"].open(self.path, "rb")


def type_data(engine: Engine, started_at: datetime) -> EngineTypeData:
    """Return the limits and channels that judge a run."""
    return revision_in_force(engine.engine_type, started_at.date()).data


def proposal_of(engine: Engine, data: EngineTypeData, file: Any, name: str) -> Proposal:
    """Return how a file would be read, with what was remembered for the type; TraceError if it is unusable."""
    file.seek(0)
    setups = list(engine.engine_type.column_setups.all())
    proposal = columns_propose(file, data, columns={s.channel: s.header for s in setups}, name=name)
    file.seek(0)
    units = {s.channel: s.unit for s in setups if s.unit and proposal.columns.get(s.channel) == s.header}
    return replace(proposal, units={**proposal.units, **units})


def needed_of(data: EngineTypeData) -> tuple[str, ...]:
    """Return the names that a file must give for every limit to be judged: time, and each channel that counts."""
    used = {chart.channel for chart in data.charts}
    if data.segmentation is not None:
        used |= {data.segmentation.speed, data.segmentation.temperature}
    return (TIME, *(channel.name for channel in data.channels if channel.name in used))


def is_known(engine: Engine, started_at: datetime, file: "UploadedFile[Any]") -> bool:
    """Return whether every column that counts is found without asking; TraceError if the file is unusable."""
    data = type_data(engine, started_at)
    return set(needed_of(data)) <= set(proposal_of(engine, data, file, file.name or "").columns)


def run_time_shown(engine: Engine, started_at: datetime, file: "UploadedFile[Any]") -> int | None:
    """Return the run time that a file shows, None where it cannot be told yet. [s]"""
    data = type_data(engine, started_at)
    try:
        proposal = proposal_of(engine, data, file, file.name or "")
        recording = recording_read(
            cast("BinaryIO", file), data, columns=proposal.columns, units=proposal.units, name=file.name or ""
        )
    except DomainError:
        return None
    finally:
        file.seek(0)
    segments = segments_of(recording.trace, data.segmentation)
    return round(segments.usage.hours * 3600) if segments is not None else None


def trace_offer(
    request: ScreenRequest, run: Run, file: "UploadedFile[Any]", *, ask: bool = False
) -> WaitingTrace | None:
    """Enter a trace whose columns are known, or keep it waiting and return it; TraceError if it is unusable."""
    if not is_known(run.engine, run.started_at, file) or ask:
        return waiting_keep(request, run, file)
    trace_enter(run=run, file=file, name=file.name or "", by=request.user)
    return None


def trace_take(
    request: ScreenRequest, run: Run, waiting: WaitingTrace, columns: dict[str, str], units: dict[str, str]
) -> RunTrace:
    """Enter a trace that waited, read as a person says, and forget that it waited."""
    with waiting.open() as file:
        trace, _ = trace_enter(run=run, file=file, name=waiting.name, by=request.user, columns=columns, units=units)
    waiting_drop(request, waiting)
    return trace


def waiting_keep(request: ScreenRequest, run: Run, file: "UploadedFile[Any]") -> WaitingTrace:
    """Keep a file until its columns are matched; only whoever sent it can reach it."""
    sweep()
    waiting = WaitingTrace(secrets.token_urlsafe(16), file.name or "", str(run.pk))
    storages["traces"].save(waiting.path, file)
    request.session[SESSION_KEY] = {**request.session.get(SESSION_KEY, {}), waiting.token: asdict(waiting)}
    return waiting


def waiting_for(request: ScreenRequest, run: Run, token: str) -> WaitingTrace | None:
    """Return a file that waits for a run and was sent from this session, or None where it is gone."""
    kept = request.session.get(SESSION_KEY, {}).get(token)
    if kept is None or kept["run"] != str(run.pk) or not storages["traces"].exists(f"{FOLDER}/{token}"):
        return None
    return WaitingTrace(**kept)


def waiting_drop(request: ScreenRequest, waiting: WaitingTrace) -> None:
    """Forget a file that waited."""
    storages["traces"].delete(waiting.path)
    kept = dict(request.session.get(SESSION_KEY, {}))
    kept.pop(waiting.token, None)
    request.session[SESSION_KEY] = kept


def sweep() -> None:
    """Delete what has waited for longer than a day: nobody came back for it."""
    storage = storages["traces"]
    names: list[str] = []
    with contextlib.suppress(FileNotFoundError):
        names = storage.listdir(FOLDER)[1]
    for name in names:
        if timezone.now() - storage.get_modified_time(f"{FOLDER}/{name}") > KEPT_FOR:
            storage.delete(f"{FOLDER}/{name}")
