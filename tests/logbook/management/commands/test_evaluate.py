"""The first door: a file and a document in, the verdict out."""

import json
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from django.core.management import call_command

from tests.documents import type_document
from tests.runs import hot, trace_file


@pytest.fixture
def type_file(tmp_path: Path) -> str:
    path = tmp_path / "type.json"
    path.write_text(json.dumps(type_document()), encoding="utf-8-sig")
    return str(path)


@pytest.fixture
def trace(tmp_path: Path) -> str:
    path = tmp_path / "gauge.csv"
    path.write_bytes(trace_file([*hot(70), "---"], header="T5 deg C").getvalue())
    return str(path)


def verdict(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, Any]:
    call_command("evaluate", *words, "--json")
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def test_the_verdict_as_json(capsys: pytest.CaptureFixture[str], trace: str, type_file: str) -> None:
    found = verdict(capsys, trace, "--type", type_file, "--column", "itt=T5 deg C")
    assert (found["samples"], found["repeats"]) == (81, "not counted")
    assert found["ignored"] == [{"column": "T5 deg C", "cells": 1, "example": "---"}]
    assert [n["chart"] for n in found["not_judged"]] == ["Oil pressure, running"]
    assert [(e["area"], e["peak"]) for e in found["excursions"]] == [("A", 715.0)]


def test_parquet_gives_the_same_verdict(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, trace: str, type_file: str
) -> None:
    path = tmp_path / "gauge.parquet"
    pd.read_csv(trace, na_values="---").to_parquet(path)
    words = ("--type", type_file, "--column", "itt=T5 deg C")
    ours, csv = verdict(capsys, str(path), *words), verdict(capsys, trace, *words)
    assert ours["excursions"] == csv["excursions"]


def test_the_verdict_in_sentences(capsys: pytest.CaptureFixture[str], trace: str, type_file: str) -> None:
    call_command("evaluate", trace, "--type", type_file, "--column", "itt=T5 deg C")
    said = capsys.readouterr().out
    assert "81 samples; itt from “T5 deg C”, n1 from “n1”." in said
    assert "Interstage turbine temperature was above 700 °C" in said
    assert "Find and correct the cause" in said
    assert "Not judged: Oil pressure, running, the trace has no column for oil_press." in said
    assert "a person decides and signs" in said


def test_nothing_beyond_a_limit_is_said(capsys: pytest.CaptureFixture[str], tmp_path: Path, type_file: str) -> None:
    path = tmp_path / "cool.csv"
    path.write_text("time_s,itt,spare\n0,600,1\n1,610,1\n9,600,1\n")
    call_command("evaluate", str(path), "--type", type_file)
    said = capsys.readouterr().out
    assert "No reading was beyond a limit in what was recorded." in said
    assert "Not observed: itt from 1.0 to 9.0 s." in said
    assert "Note: ITT, running: judged over the whole trace" in said
    assert "Not used: spare." in said


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["{trace}", "--type", "{missing}"], "can't be read: no such file"),
        (["{trace}", "--type", "{folder}"], "can't be read: is a directory"),
        (["{trace}", "--type", "{deep}"], "is nested too deeply"),
        (["{trace}", "--type", "{long}"], "is not JSON"),
        (["{trace}", "--type", "{trace}"], "is not JSON"),
        (["{missing}", "--type", "{type}"], "missing.csv"),
        (["{trace}", "--type", "{bad}"], "charts: is missing."),
        (["{trace}", "--type", "{type}", "--column", "itt"], "write CHANNEL=HEADER"),
        (["{trace}", "--type", "{type}", "--column", "t5=T5 deg C"], "t5 is not a channel; there are time_s, itt"),
        (["{trace}", "--type", "{type}", "--column", "itt=a", "--column", "itt=b"], "itt is given twice"),
        (["{trace}", "--type", "{type}", "--column", "itt=T6"], "T6"),
    ],
)
def test_unusable_input_gets_one_clear_line_and_status_2(
    *, capsys: pytest.CaptureFixture[str], tmp_path: Path, trace: str, type_file: str, words: list[str], said: str
) -> None:
    bad = tmp_path / "bad.json"
    bad.write_text(json.dumps({"name": "x", "channels": [{"name": "itt", "unit": "degC"}]}))
    (tmp_path / "deep.json").write_text("[" * 100_000)
    (tmp_path / "long.json").write_text("9" * 5000)
    names = {name: str(tmp_path / f"{name}.json") for name in ("bad", "deep", "long")}
    names |= {"trace": trace, "type": type_file, "missing": str(tmp_path / "missing.csv"), "folder": str(tmp_path)}
    with pytest.raises(SystemExit) as stopped:
        call_command("evaluate", *(word.format(**names) for word in words))
    printed = capsys.readouterr()
    assert (stopped.value.code, printed.out) == (2, "")
    assert said in printed.err
    assert printed.err.strip().count("\n") == 0
