"""The pieces of the one command that runs everything."""

import time
from pathlib import Path

import pytest

from tests.harness import chromium, poppler
from tests.harness.postgres import modes_kept
from tests.harness.shared import SharedMissing, shared_file
from tests.harness.steps import TIMED_OUT, Outcome, Step, first_failure, step_run, steps_beside, summary
from tests.harness.surroundings import surroundings


def test_the_first_failure_decides() -> None:
    outcomes = [Outcome("a", 0, 1.0), Outcome("b", 3, 2.0), Outcome("c", 1, 0.5)]
    assert first_failure(outcomes) == 3
    assert first_failure(outcomes[:1]) == 0
    assert summary(outcomes, 2.5).splitlines()[1].split() == ["b", "FAILED", "(3)", "2.0", "s"]
    assert summary(outcomes, 2.5).splitlines()[-1].split() == ["in", "all", "2.5", "s"]


def test_steps_side_by_side_each_say_how_they_ended_and_what_they_wrote(capfd: pytest.CaptureFixture[str]) -> None:
    ends = Step("ends", ["-c", "print('first'); raise SystemExit(3)"])
    tells = Step("tells", ["-c", "import os; print(os.environ['SAID'])"], {"SAID": "second"})
    assert [(outcome.name, outcome.code) for outcome in steps_beside([ends, tells])] == [("ends", 3), ("tells", 0)]
    said = capfd.readouterr().out.split("\n=== ")
    assert sorted(part.splitlines()[-1] for part in said if part) == ["first", "second"]


def test_a_step_that_waits_without_end_is_stopped_with_what_it_started(tmp_path: Path) -> None:
    child = f"import time; time.sleep(1.5); open({str(tmp_path / 'alive')!r}, 'w')"
    parent = f"import subprocess, sys; subprocess.run([sys.executable, '-c', {child!r}])"
    assert step_run(Step("waits", ["-c", parent], longest=0.5)).code == TIMED_OUT
    time.sleep(1.5)
    assert not (tmp_path / "alive").exists()


def test_a_step_ends_with_the_code_of_its_command() -> None:
    assert step_run(Step("ends", ["-c", "raise SystemExit(3)"])).code == 3


def test_the_settings_of_a_real_logbook_stay_outside() -> None:
    machine = {"PATH": "bin", "EMBERMARK_DATABASE": "sqlite:///real.sqlite3", "EMBERMARK_SHARED": "beside"}
    assert surroundings(machine) == {"PATH": "bin", "EMBERMARK_SHARED": "beside"}


def test_a_named_chromium_is_taken_or_refused(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    program = tmp_path / "browser"
    program.touch(mode=0o755)
    monkeypatch.setenv(chromium.VARIABLE, str(program))
    assert chromium.chromium_ensure() == str(program)
    monkeypatch.setenv(chromium.VARIABLE, str(tmp_path / "absent"))
    with pytest.raises(chromium.ChromiumMissing, match="absent' *, which is no program"):
        chromium.chromium_ensure()


def test_without_chromium_a_person_is_told_what_to_install(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv(chromium.VARIABLE, raising=False)
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(chromium.ChromiumMissing, match="Install Chromium"):
        chromium.chromium_ensure()


def test_without_poppler_a_person_is_told_what_to_install(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(poppler.PopplerMissing, match="apt-get install poppler-utils"):
        poppler.poppler_ensure()
    program = tmp_path / poppler.PROGRAM
    program.touch(mode=0o755)
    assert poppler.poppler_ensure() == str(program)


def test_a_check_file_is_found_or_said_to_be_absent(tmp_path: Path) -> None:
    surroundings = {"EMBERMARK_SHARED": str(tmp_path)}
    with pytest.raises(SharedMissing, match=r"logs/a\.json is not kept") as optional:
        shared_file("logs/a.json", surroundings)
    with pytest.raises(SharedMissing) as required:
        shared_file("logs/a.json", {**surroundings, "EMBERMARK_REQUIRE_CHECKS": "1"})
    assert (optional.value.required, required.value.required) == (False, True)
    (tmp_path / "checks" / "logs").mkdir(parents=True)
    (tmp_path / "checks" / "logs" / "a.json").touch()
    assert shared_file("logs/a.json", surroundings) == tmp_path / "checks" / "logs" / "a.json"


def test_folder_permissions_come_back(tmp_path: Path) -> None:
    inner = tmp_path / "inner"
    inner.mkdir(mode=0o700)
    with modes_kept(inner / "data"):
        inner.chmod(0o755)
    assert inner.stat().st_mode & 0o777 == 0o700
