"""Replay of a changed limit over a hundred thousand stored runs, against judging them all."""

from dataclasses import asdict
from typing import Any

import numpy as np
from django.core.files.base import ContentFile

from engines.extremes import extremes_of
from engines.models import Engine, Run, RunTrace, TraceExtreme, TypeRevision
from engines.trace_codec import trace_pack
from engines.traces import Recording, Trace
from inspections.actions.judging import judge_evidence
from inspections.replay import replay
from tests.benchmarks.timing import Ratio, medians
from tests.documents import type_document
from tests.factories import STARTED_AT, EngineFactory, TypeRevisionFactory

RUNS, AFFECTED = 100_000, 100
BATCH = 5_000
RATE_HZ, SECONDS = 4, 3600
STEADY_C, QUIET_C, HOT_C = 630.0, 640.0, 694.0  # the limit falls from 700 to 690
SAMPLE = 200


def recording(highest: float) -> Recording:
    """Return an hour's run, steady but for noise, with a minute and a half at its highest temperature. [°C]"""
    times = np.arange(SECONDS * RATE_HZ) / RATE_HZ
    noise = np.round(np.minimum(np.random.default_rng(1).normal(0.0, 2.0, times.size), 4.0), 1)
    speed = np.interp(times, [0, 5, 35, 60, 3540, 3570, 3599], [0, 0, 60, 90, 90, 40, 0])
    steady = np.interp(times, [0, 8, 14, 60, 3540, 3599], [20, 20, 600, STEADY_C, STEADY_C, 200])
    hot = (times >= 1000) & (times < 1090)
    return Recording(Trace(times, {"itt": np.where(hot, highest, steady + noise), "n1": speed}), matches=())


def stored(engine: Engine, recordings: list[Recording], revision: TypeRevision) -> None:
    """Store as many runs as there are recordings in the list; equal recordings share their file."""
    kept: dict[int, tuple[str, list[dict[str, Any]]]] = {}
    for item in recordings:
        if id(item) not in kept:
            name = RunTrace().packed.storage.save("packed/benchmark", ContentFile(trace_pack(item)))
            extremes = extremes_of(item.trace, revision.data.segmentation)
            kept[id(item)] = (name, [asdict(extreme) for extreme in extremes])
    for start in range(0, len(recordings), BATCH):
        rows = recordings[start : start + BATCH]
        common = {"recorded_by_id": revision.entered_by_id}
        told = {"operator_id": engine.operator_id, "engine": engine, "kind": Run.Kind.FLIGHT, "started_at": STARTED_AT}
        runs = Run.objects.bulk_create(Run(**common, **told) for _ in rows)
        traces = RunTrace.objects.bulk_create(
            RunTrace(run=run, packed=kept[id(item)][0], samples=0, duration_s=SECONDS, **common)
            for run, item in zip(runs, rows, strict=True)
        )
        TraceExtreme.objects.bulk_create(
            TraceExtreme(trace=trace, **extreme)
            for trace, item in zip(traces, rows, strict=True)
            for extreme in kept[id(item)][1]
        )


def tightened(first: TypeRevision) -> TypeRevision:
    """Return a second revision of a type, not adopted yet, whose running limit is 10 °C lower."""
    document = type_document()
    chart = document["charts"][1]
    chart["limit"] = chart["areas"][0]["allowed"][0]["above"] = 690
    return TypeRevisionFactory.create(engine_type=first.engine_type, document=document, is_adopted=False)


def ratios() -> list[Ratio]:
    """Return the cost of judging every run, reckoned from a sample of them, over that of replay."""
    engine = EngineFactory.create()
    first = engine.engine_type.revisions.get()
    quiet, hot = recording(QUIET_C), recording(HOT_C)
    every = RUNS // AFFECTED
    stored(engine, [quiet if k % every else hot for k in range(RUNS)], first)
    revision = tightened(first)
    outcome, data = replay(revision), revision.data
    assert (outcome.runs_total, outcome.runs_read) == (RUNS, AFFECTED)
    sample = list(Run.objects.all()[:SAMPLE])
    replayed, judged = medians(
        lambda: replay(revision), lambda: [judge_evidence(run, data) for run in sample], rounds=3
    )
    return [
        Ratio("judging all of 100,000 runs : replay reading 0.1 %", judged * RUNS / SAMPLE, replayed, "at least 100")
    ]
