"""Recorders' files read on the phone as the server reads them, refused in the same words, or left to the server."""

import gzip
import io
from datetime import date
from typing import Any

import numpy as np
import pytest
from playwright.sync_api import Page

from engines.charts import EngineTypeData, LimitChart
from engines.documents import engine_type_read
from engines.recordings import recording_read
from engines.traces import Trace
from engines.unit_tables import unit_tables
from inspections.exceedance import judge
from logbook.demo.plan import plan_read
from logbook.pictures import MOST_LEVELS, JudgedRun, curve_points
from tests.documents import type_document
from tests.engines.recorders import ENGINE_TYPE
from tests.judging.page import scripts_served, told
from tests.judging.recordings import (
    JUDGE_FILES,
    LEFT_TO_SERVER,
    LOOK,
    READ,
    file_plain,
    phone_reads,
    server_proposes,
    server_reads,
)
from tests.twin.comparing import differences

TODAY = date(2026, 6, 1)
PLAIN = "time_s,itt,n1\n0,650.5,88\n0.5,651.25,88.5\n"
COMMAS = PLAIN.replace(",", ";").replace(".", ",")
READ_ALIKE: list[tuple[str | bytes, dict[str, Any]]] = [
    (PLAIN, {}),
    (PLAIN.replace(",", "\t"), {}),
    (PLAIN.replace(",", "|"), {}),
    (PLAIN.replace(",", "   "), {}),
    (PLAIN.replace(",", " , "), {}),
    (PLAIN.replace("\n", "\r\n"), {}),
    (PLAIN.replace("\n", "\r"), {}),
    (PLAIN.replace("\n", "\n\n"), {}),
    (PLAIN.replace("\n", ",\n"), {}),
    (COMMAS, {}),
    ('Engine;RS-650 "left"\n\nSerial: 1234, 5\n2024-05-01\n;;;\nN1;101,5\n' + COMMAS, {}),
    ("note,1\n" * 200 + PLAIN, {}),
    (PLAIN.replace("\n", "\n[s],[°C],[pct]\n", 1), {}),
    ("Ch 1,Ch 2,Ch 3\n" + PLAIN, {}),
    ('time_s, "itt", "n1"\n0, "650.5", "88"\n0.5, "651.25", "88 ""and"" more"\n', {}),
    ("Time [s],ITT (°F),Oil Press [kPa]\n0,650.5,880\n0.5,651.25,88.5\n", {}),
    ("Time [min],Interstage Turbine Temperature,GAS-GENERATOR  speed\n0,650.5,88\n0.5,651.25,88.5\n", {}),
    ("\ufeff" + PLAIN, {}),
    (("\ufeff" + PLAIN).encode("utf-16-le"), {}),
    (PLAIN.encode("utf-16-be"), {}),
    (PLAIN.replace("itt", "itt (°C)").encode("latin-1"), {}),
    (gzip.compress(PLAIN.encode(), mtime=0), {}),
    ("Time,itt,n1\n23:59:59.75,650.5,88\n00:00:00.25,651.25,88.5\n", {}),
    ("Date,Time,itt,n1\n2024-05-01,23:59:59.75,650.5,88\n,,1,2\n2024-05-02,00:00:00.25,651.25,88.5\n", {}),
    ("when,itt,n1\n2024-05-01T10:00:00Z,650.5,88\n2024-05-01 12:00:00.5+02:00,651.25,88.5\n", {}),
    ("when;itt;n1\n2024/05/01 10:00:00,1;650,5;88\n2024/05/01 10:00:00,6;651,25;88,5\n", {}),
    ("at,itt\n20240501T100000+0230,1\n20240501T100001.25+0230,2\n", {}),
    ("time_s,itt,n1\n0,---,\n1, N/A ,60.1\n2,NaN,  \n,650,61\nlate,651,62\n5,OVR,inf\n6,-1e999,Infinity\n", {}),
    ("time_s;itt\n0;650,5\n1;1.234,5\n2;651.5\n3;652,5\n", {}),
    ("\n".join(["time_s;itt", *(f"{k};700" for k in range(120)), "120;700,5", "121;1.234,5", "122;701.5"]), {}),
    ("when,ITT [°F],Oil Press,spare,,n1\n10:00,212,689.4,a,,50\n10:01,32,1,b,c,51\n",
     {"units": {"oil_press": "kPa", "itt": "degC"}}),
    ("a,time_s,itt,T5 deg C\n0,5,1,650\n1,5,2,651\n", {"columns": {"time_s": "A", "itt": "T5 deg C"}}),
    ("time_s,itt\n0,1\n1,2\n1,3\n1,2.5\n2,4\n", {}),
]  # fmt: skip
REFUSED_ALIKE: list[tuple[str | bytes, dict[str, Any]]] = [
    ("", {}),
    (" \n\n", {}),
    (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", {}),
    ("only words\nand words\n", {}),
    ("1,2,3\n4,5,6\n", {}),
    ("time_s,itt\n", {}),
    ("x\n\ntime_s,itt\ns,degC\n\n", {}),
    ("count,itt\n1,650\n", {}),
    ("time_s,itt\n---,650\n", {}),
    ("time [psi],itt\n0,650\n", {}),
    ("time_s,x\n0,650\n", {}),
    ("time_s,itt\n0,650\n", {"columns": {"itt": "T5"}}),
    ("time_s,itt\n0,650\n", {"columns": {"egt": "itt"}}),
    ("time_s,itt [bar]\n0,650\n", {}),
    ("time_s,itt,ITT,Itt\n0,1,2,3\n", {"columns": {"n1": "itt"}}),
    ("time_s,T5,x,T5\n0,1,2,3\n", {"columns": {"itt": "T5"}}),
    ("time_s,itt\n0,0,650,5\n0,5,650,7\n", {}),
    ("time_s  itt\n0  1\n\n1 2 3\n", {}),
    ("time_s,itt\n0,1\n1e300,1\n", {}),
    ("x\n\nt;itt\ns;C\n\n0;1\n---;1\n;1\n2,5;1\n\n\n1,5;1\n", {}),
    ("clock,itt\n10:00,1\n09:59,1\n", {}),
    ("at,itt\n2024-05-01T10:00Z,1\n2024-05-01T11:59+02:00,1\n", {}),
    ("at,itt\n2024-13-01 10:00,1\nlate,2\n", {}),
]
# Parquet; a unit that only the server knows, in a header or below it; a cell that goes on over a line's end.
LEFT: list[tuple[str | bytes, dict[str, Any]]] = [
    (b"PAR1", {}),
    (PLAIN, {"name": "run.parquet"}),
    (PLAIN.replace("itt", "itt [millikelvin]"), {}),
    (PLAIN.replace("\n", "\nfortnight,millikelvin,percent of it\n", 1), {}),
    (PLAIN, {"units": {"itt": "millikelvin"}}),
    ('t,itt\n0,"two\nlines"\n2,1\n3,1\n', {}),
]


@pytest.fixture
def phone(page: Page) -> Any:
    """Return a page that has the site's scripts and nothing else."""
    with scripts_served() as address:
        page.goto(address)
        yield page


def written(text: str | bytes) -> bytes:
    """Return a text as a file's bytes."""
    return text.encode() if isinstance(text, str) else text


def curves_of(trace: Trace, engine_type: EngineTypeData) -> list[list[tuple[float, float]]]:
    """Return the curve that the server draws of each excursion, values turned outward; none of one only possible."""
    verdict = judge(trace, engine_type)
    facts = {name: tuple(getattr(verdict, name)) for name in ("excursions", "regimes", "unobserved")}
    run = JudgedRun(data=engine_type, trace=trace, **facts)
    charts = {chart.name: chart for chart in engine_type.charts}
    found = []
    for excursion in run.excursions:
        chart = charts[excursion.chart]
        points = curve_points(traced(run, chart), chart, excursion, run)
        found.append([(chart.sign * value, seconds) for value, seconds in points])
    return found


def traced(run: JudgedRun, chart: LimitChart) -> Trace:
    """Return the trace in the unit of a chart that judged it."""
    trace = run.traced(chart)
    assert trace is not None
    return trace


def near(points: list[tuple[float, float]]) -> Any:
    """Return points for a comparison to the microsecond."""
    return [pytest.approx(point, abs=1e-6) for point in points]


def read_on(phone: Page, files: list[tuple[str | bytes, dict[str, Any]]]) -> list[dict[str, Any]]:
    """Return what the phone reads from each file, or how it refuses it."""
    plain = [file_plain(written(text), ENGINE_TYPE, **given) for text, given in files]
    return [phone_reads(answer) for answer in told(phone, READ, plain)]


def test_files_are_read_to_the_same_numbers(phone: Page) -> None:
    for answer, (text, given) in zip(read_on(phone, READ_ALIKE), READ_ALIKE, strict=True):
        assert len(answer["times"]) >= 2
        assert (text, differences(answer, server_reads(written(text), ENGINE_TYPE, **given))) == (text, [])


def test_the_same_columns_are_proposed(phone: Page) -> None:
    # What is in doubt is left out: two columns that fit, a unit of something else, headers that are not there.
    doubtful: list[tuple[str | bytes, dict[str, Any]]] = [
        ("time_s,T5,NG,itt,itt\n0,1,2,3,4\n", {"columns": {"n1": "NG", "itt": "EGT"}}),
        ("x,T5\n0,650\n", {"columns": {"itt": "T5"}}),
        ("time [psi],itt,n1\n0,650,1\n", {}),
        ("at,itt\n10:00,1\n10:01,1\n", {}),
    ]
    cases = [case for case in READ_ALIKE + doubtful if "units" not in case[1]]
    plain = [file_plain(written(text), ENGINE_TYPE, **given) for text, given in cases]
    for answer, (text, given) in zip(told(phone, LOOK, plain), cases, strict=True):
        assert (text, answer) == (text, server_proposes(written(text), ENGINE_TYPE, **given))


def test_bad_files_are_refused_in_the_same_words(phone: Page) -> None:
    for answer, (text, given) in zip(read_on(phone, REFUSED_ALIKE), REFUSED_ALIKE, strict=True):
        assert (text, answer) == (text, server_reads(written(text), ENGINE_TYPE, **given))
        assert answer["code"] == "trace_unusable"


def test_what_only_the_server_reads_is_left_to_it_and_said(phone: Page) -> None:
    for answer in read_on(phone, LEFT):
        assert answer["code"] == LEFT_TO_SERVER
        assert answer["message"].endswith("The server reads the file when it has been sent.")


def demo_files() -> list[dict[str, Any]]:
    """Return a file of each scenario of the demo as a page takes it; they differ in recorder as well."""
    plan = plan_read()
    document = plan.limits.document
    common = {"document": document, "units": unit_tables(engine_type_read(document))}
    runs = {run.scenario["name"]: run for run in plan.runs if run.scenario}
    return [
        common
        | {"text": run.trace(TODAY) or ""}
        | {"given": {"columns": dict(run.engine.match), "units": dict(run.engine.units), "name": run.file_name}}
        for run in runs.values()
    ]


def test_each_kind_of_run_of_the_demo_is_judged_from_its_file(phone: Page) -> None:
    files = demo_files()
    engine_type = engine_type_read(files[0]["document"])
    found = told(phone, JUDGE_FILES, files)
    assert found["refused"] == LEFT_TO_SERVER
    for answer, file in zip(found["judged"], files, strict=True):
        recording = recording_read(io.BytesIO(file["text"].encode()), engine_type, **file["given"])
        assert differences(answer["verdict"], judge(recording, engine_type).document()) == []
        assert answer["matches"] == [vars(match) for match in recording.matches]
        assert answer["curves"] == [near(points) for points in curves_of(recording.trace, engine_type)]
    curves = [points for answer in found["judged"] for points in answer["curves"]]
    assert len(curves) >= 5 and max(map(len, curves)) > 20


def test_a_curve_of_many_values_is_thinned_to_the_same(phone: Page) -> None:
    document = type_document()
    engine_type = engine_type_read(document)
    values = [650.0, *np.random.default_rng(11).uniform(701, 760, 900).round(2), 650.0]
    text = "\n".join(["time_s,itt", *(f"{k},{value}" for k, value in enumerate(values))])
    files = [{"document": document, "units": unit_tables(engine_type), "text": text, "given": {}}]
    (answer,) = told(phone, JUDGE_FILES, files)["judged"]
    recording = recording_read(io.BytesIO(text.encode()), engine_type)
    assert answer["curves"] == [near(points) for points in curves_of(recording.trace, engine_type)]
    assert len(answer["curves"][0]) == MOST_LEVELS
