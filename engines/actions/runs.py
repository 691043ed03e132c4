"""Recording runs and adding evidence to them."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import asdict
from datetime import datetime, timedelta
from typing import IO, Any, BinaryIO, cast

from django.contrib.auth.models import AbstractBaseUser
from django.core.files.base import ContentFile, File
from django.db import transaction
from django.utils import timezone

from engines.calibration import Calibration
from engines.charts import EngineTypeData, LimitChart
from engines.counters import COLUMNS
from engines.cycles import airborne_of, partial_cycles_of
from engines.errors import DomainError
from engines.evidence import ReadingFacts, RunFacts, TraceFile
from engines.extremes import extremes_of
from engines.first_starts import MOTORING_KINDS
from engines.models import ColumnSetup, Engine, Reading, Run, RunTrace, TraceExtreme, TypedReason
from engines.models.usage import COUNTERS
from engines.numbers_typed import MOST_DIGITS
from engines.queries import calibrations_for, calibrations_on, newest_trace, readings_turned, revision_in_force
from engines.readings_as import ReadAs, peak_as
from engines.recordings import columns_propose, recording_read
from engines.regimes import segments_of
from engines.times import Times
from engines.trace_codec import trace_pack
from engines.traces import Recording
from engines.units import unit_fits

CHUNK = 1 << 20
FIRST_YEAR = 1900
MOST = 10.0**MOST_DIGITS
VOID = "This run is void: it never took place on this engine, and nothing is added to it."
CLOCK_ALLOWANCE = timedelta(days=1)  # a phone's clock may be a day wrong, and time zones differ


@transaction.atomic
def run_record(*, engine: Engine, facts: RunFacts, by: AbstractBaseUser, digest: str = "") -> Run:
    """Store a run with its typed readings.

    Raises DomainError "run_impossible" for what cannot be, with the fields that are wrong, "engine_left" for an engine
    that was handed over to another owner.
    """
    if engine.left_at is not None:
        raise DomainError(f"Engine {engine} was handed over to {engine.left_to}.", code="engine_left")
    data = run_check(engine=engine, facts=facts)
    stated = {name: value for name, value in vars(facts).items() if name not in ("readings", "reasons")}
    run = Run(operator_id=engine.operator_id, engine=engine, recorded_by_id=by.pk, request_digest=digest, **stated)
    run_count(run, None)
    run.save(force_insert=True)
    readings_keep(run, facts, data, by)
    return run


def readings_keep(run: Run, facts: RunFacts, data: EngineTypeData, by: AbstractBaseUser) -> None:
    """Store readings and typed reasons, as first recorded or by the run's newest correction."""
    units = {chart.name: chart.unit for chart in data.charts}
    kept: dict[str, Any] = {"run": run, "correction": run.correction}
    turned = readings_turned(run.engine, facts, data)
    Reading.objects.bulk_create(
        Reading(
            recorded_by_id=by.pk, **kept, **(asdict(r) | {"unit": r.unit or units[r.chart]}), **_turned(turned.get(k))
        )
        for k, r in enumerate(facts.readings)
    )
    for said in facts.reasons:
        TypedReason.objects.create(
            field=said.about, value=said.value, question=said.question, reason=said.reason, by_id=by.pk, **kept
        )


def _turned(one: ReadAs | None) -> dict[str, Any]:
    return {} if one is None else {"converted": one.value, "converted_unit": one.unit, "converted_by": one.by}


def run_check(*, engine: Engine, facts: RunFacts) -> EngineTypeData:
    """Return the limits by which a run would be judged.

    Raises DomainError "run_impossible" for what cannot be, with the fields that are wrong.
    """
    data = revision_in_force(engine.engine_type, facts.started_at.date()).data
    faults = _faults(facts, data, engine)
    if faults:
        first = next(iter(faults.items()))
        raise DomainError(f"{first[0]}: {first[1]}.", code="run_impossible", fields=faults)
    return data


def _faults(facts: RunFacts, data: EngineTypeData, engine: Engine) -> dict[str, str]:
    faults = {}
    if facts.kind not in Run.Kind.values:
        faults["kind"] = f"must be one of {', '.join(Run.Kind.values)}"
    if fault := moment_fault(facts.started_at):
        faults["started_at"] = fault
    faults |= _figure_faults(facts)
    faults |= _motoring_faults(facts, data.motoring_counts)
    further = facts.other.keys() - {counter.name for counter in data.counters}
    faults |= dict.fromkeys((f"other.{name}" for name in sorted(further)), "is not counted of this type")
    charts = {chart.name: chart for chart in data.charts}
    calibrations = calibrations_for(engine, facts, data)
    for k, reading in enumerate(facts.readings):
        found = _reading_faults(reading, charts) or _unit_faults(reading, charts[reading.chart], data, calibrations)
        faults |= {f"readings[{k}].{name}": text for name, text in found.items()}
    return faults


def _figure_faults(facts: RunFacts) -> dict[str, str]:
    """Fault a meter or a time of the starter that no box could have taken."""
    wrong = [name for name in ("typed_meter_h", "typed_starter_s") if not _can_be(getattr(facts, name))]
    return dict.fromkeys(wrong, f"must be 0 or more, of no more than {MOST_DIGITS} digits")


def _motoring_faults(facts: RunFacts, counts: tuple[str, ...]) -> dict[str, str]:
    """Fault what is counted of a motoring run against what its type says: it is no start, and no time at all."""
    if facts.kind not in MOTORING_KINDS:
        return {}
    counted = {name: getattr(facts, f"typed_{name}") for name in COUNTERS}
    allowed = {COLUMNS[name] for name in counts}
    words = "is counted of no motoring run of this type; leave it empty"
    return {f"typed_{name}": words for name, figure in counted.items() if figure and name not in allowed}


def _can_be(figure: float | None, least: float = 0.0) -> bool:
    """Return whether a figure is one that a box could have taken, or is none."""
    return figure is None or least <= figure < MOST


def moment_fault(started_at: datetime) -> str:
    """Return what is wrong with the moment at which a run began; nothing where it can be."""
    if timezone.is_naive(started_at):
        return "must say its offset from UTC"
    if started_at > timezone.now() + CLOCK_ALLOWANCE:
        return "lies in the future"
    return "lies before there were gas turbines" if started_at.year < FIRST_YEAR else ""


def _reading_faults(reading: ReadingFacts, charts: Collection[str]) -> dict[str, str]:
    if reading.chart not in charts:
        return {"chart": f"“{reading.chart}” is not a limit of this engine; there are {', '.join(charts)}"}
    faults = {}
    if not _can_be(reading.peak, -MOST):
        faults["peak"] = f"must be a number of no more than {MOST_DIGITS} digits, or not known"
    if not _can_be(reading.seconds):
        faults["seconds"] = f"must be 0 or more, of no more than {MOST_DIGITS} digits, or not known"
    return faults


def _unit_faults(
    reading: ReadingFacts, chart: LimitChart, data: EngineTypeData, calibrations: Mapping[str, Calibration]
) -> dict[str, str]:
    try:
        peak_as(reading.peak or 0.0, reading.unit or chart.unit, chart, data, calibrations)
    except DomainError as error:
        return {"unit": error.message}
    return {}


def run_count(run: Run, recording: Recording | None) -> None:
    """Set what the run counts for: the typed figure where there is one, else what the trace shows."""
    data = revision_in_force(run.engine.engine_type, run.started_at.date()).data
    shown = usage_shown(recording, data) if recording else Times()
    for name in COUNTERS:
        typed = getattr(run, f"typed_{name}")
        setattr(run, name, getattr(shown, name) if typed is None else typed)


def usage_shown(recording: Recording, data: EngineTypeData) -> Times:
    """Return what a trace shows that a run used; 0 of what it does not show."""
    segments = segments_of(recording.trace, data.segmentation)
    besides = shown_besides(recording, data)
    return Times(
        run_time_s=round(segments.usage.hours * 3600) if segments else 0,
        time_in_service_s=besides.get("time_in_service_s", 0),
        starts=segments.usage.starts if segments else 0,
        cycles=segments.usage.cycles if segments else 0,
        partial_cycles=besides.get("partial_cycles", 0),
    )


def shown_besides(recording: Recording, data: EngineTypeData) -> dict[str, int]:
    """Return what a trace shows by the type's own rules: time in service, take-offs, partial cycles; no more."""
    airborne = airborne_of(recording.trace, data.airborne)
    partial = partial_cycles_of(recording.trace, data.segmentation, data.partial_cycles)
    found = dict(zip(("time_in_service_s", "take_offs"), airborne, strict=True)) if airborne else {}
    return found | ({} if partial is None else {"partial_cycles": partial})


def _columns_for(
    run: Run, file: IO[bytes], name: str, data: EngineTypeData, columns: Mapping[str, str]
) -> tuple[dict[str, str], dict[str, str]]:
    """Return which header to read as which channel and in which unit: as remembered, or as said now."""
    setups = list(run.engine.engine_type.column_setups.all())
    if setups:
        headers = columns_propose(cast("BinaryIO", file), data, name=name).headers
        file.seek(0)
        setups = [setup for setup in setups if setup.header in headers]
    chosen = {setup.channel: setup.header for setup in setups} | dict(columns)
    units = {s.channel: s.unit for s in setups if s.unit and chosen[s.channel] == s.header}
    return chosen, units


def _read(run: Run, file: TraceFile, data: EngineTypeData) -> Recording:
    """Return what a file holds, in the channels' units; by the engine's own calibrations of that day where needed."""
    columns, kept_units = _columns_for(run, file.file, file.name, data, file.columns)
    calibrations = calibrations_on(run.engine, run.started_at.date())
    units = kept_units | dict(file.units)
    source = cast("BinaryIO", file.file)
    return recording_read(source, data, columns=columns, units=units, name=file.name, calibrations=calibrations)


def trace_add(
    *,
    run: Run,
    file: IO[bytes],
    name: str,
    by: AbstractBaseUser,
    columns: Mapping[str, str] | None = None,
    units: Mapping[str, str] | None = None,
) -> RunTrace:
    """Read a recorded trace and keep it beside the run's other evidence; the same file again is the same trace.

    Where a calibration that it was read by was corrected since, it is read anew beside what was read before.
    Raises TraceError, with nothing stored, where the file cannot be used; DomainError "run_void" for a void run.
    """
    if run.is_void:
        raise DomainError(VOID, code="run_void")
    digest = _digest(file)
    known = run.traces.filter(original_sha256=digest).order_by("pk").last()
    if known is not None:
        return _read_anew(known, by) or known
    data = revision_in_force(run.engine.engine_type, run.started_at.date()).data
    recording = _read(run, TraceFile(file, name, columns or {}, units or {}), data)
    trace, packed = _trace_of(run, recording, data, original_name=name[:200], original_sha256=digest)
    trace.recorded_by_id = by.pk
    with transaction.atomic(), _files_kept_if_done(trace) as keep:
        file.seek(0)
        keep("original", File(file))
        keep("packed", ContentFile(packed))
        trace.save(force_insert=True)
        _keep(trace, recording, data, columns)
    return trace


def _trace_of(run: Run, recording: Recording, data: EngineTypeData, **file: Any) -> tuple[RunTrace, bytes]:
    """Return the row of a trace as it was read, and its columns packed."""
    packed = trace_pack(recording)
    trace = RunTrace(
        run=run,
        packed_sha256=hashlib.sha256(packed).hexdigest(),
        samples=recording.trace.times.size,
        duration_s=float(recording.trace.times[-1]),
        matches=[asdict(match) for match in recording.matches],
        shown=shown_besides(recording, data),
        unused=list(recording.unused),
        **file,
    )
    return trace, packed


def _read_anew(known: RunTrace, by: AbstractBaseUser) -> RunTrace | None:
    """Read a kept file by the calibrations that hold now; None where that gives what it gave, or another is judged."""
    run = known.run
    data = revision_in_force(run.engine.engine_type, run.started_at.date()).data
    units = {channel.name: channel.unit for channel in data.channels}
    is_by_calibration = any(not _fits(match["unit"], units.get(match["channel"], "")) for match in known.matches)
    if not is_by_calibration or newest_trace(run) != known:
        return None
    columns, read_in = ({m["channel"]: m[name] for m in known.matches} for name in ("header", "unit"))
    with known.original.open("rb") as file:
        recording = _read(run, TraceFile(file, known.original_name, columns, read_in), data)
    same = {name: getattr(known, name) for name in ("original_name", "original_sha256", "original")}
    trace, packed = _trace_of(run, recording, data, **same)
    if trace.packed_sha256 == known.packed_sha256:
        return None
    trace.recorded_by_id = by.pk
    with transaction.atomic(), _files_kept_if_done(trace) as keep:
        keep("packed", ContentFile(packed))
        trace.save(force_insert=True)
        _keep(trace, recording, data, None)
    return trace


def _fits(unit: str, channel_unit: str) -> bool:
    return not unit or not channel_unit or unit_fits(unit, channel_unit)


@contextmanager
def _files_kept_if_done(trace: RunTrace) -> Iterator[Callable[[str, File[Any]], None]]:
    """Give a function that stores one of a trace's files; whatever it stored is removed if the work fails."""
    stored = []

    def keep(field: str, content: File[Any]) -> None:
        file = getattr(trace, field)
        file.save(f"{trace.run_id}-{trace.original_sha256[:12]}-{field}", content, save=False)
        stored.append(file)

    try:
        yield keep
    except BaseException:
        for file in stored:
            file.storage.delete(file.name)
        raise


def _keep(trace: RunTrace, recording: Recording, data: EngineTypeData, columns: Mapping[str, str] | None) -> None:
    """Store the extremes, what the run counts for, and how a person matched the columns."""
    extremes = extremes_of(recording.trace, data.segmentation)
    TraceExtreme.objects.bulk_create(TraceExtreme(trace=trace, **asdict(extreme)) for extreme in extremes)
    run = trace.run
    run_count(run, recording)
    run.save(update_fields=list(COUNTERS))
    for match in recording.matches:
        if columns and columns.get(match.channel) == match.header:
            ColumnSetup.objects.update_or_create(
                engine_type=run.engine.engine_type,
                header=match.header,
                defaults={"channel": match.channel, "unit": match.unit},
            )


def _digest(file: IO[bytes]) -> str:
    digest = hashlib.sha256()
    file.seek(0)
    while chunk := file.read(CHUNK):
        digest.update(chunk)
    file.seek(0)
    return digest.hexdigest()
