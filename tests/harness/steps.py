"""The steps of the whole check, each a command with its own environment, run one after the other or side by side."""

import contextlib
import os
import signal
import subprocess
import sys
import time
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from tempfile import TemporaryFile
from textwrap import shorten
from typing import IO

from tests.harness.surroundings import surroundings
from tests.layers import ROOT

WIDTH = 100  # of a command as it is shown
LONGEST_S = 30 * 60  # that a step may take: one that hangs must not take the others' answers with it
TIMED_OUT = 124  # the exit code that stands for it, as that of coreutils' timeout


@dataclass(frozen=True)
class Step:
    """One command of this virtual environment, given as the arguments of its Python."""

    name: str
    arguments: Sequence[str]
    settings: Mapping[str, str] = field(default_factory=dict)
    longest: float = LONGEST_S


@dataclass(frozen=True)
class Outcome:
    """How a step ended: its exit code and how long it took. [s]"""

    name: str
    code: int
    seconds: float


def step_run(step: Step, output: IO[bytes] | None = None) -> Outcome:
    """Run one step, its output shown as it comes or put into a file; one that takes too long ends with its children."""
    if output is None:
        print(heading(step), flush=True)
    start = time.monotonic()
    with subprocess.Popen(
        [sys.executable, *step.arguments],
        cwd=ROOT,
        env=environment(step),
        stdout=output,
        stderr=output,
        start_new_session=True,
    ) as process:
        try:
            code = process.wait(step.longest)
        except subprocess.TimeoutExpired:
            print(f"\n{step.name} was stopped after {step.longest:.0f} s.", flush=True)
            code = TIMED_OUT
        finally:
            # Nobody is left behind, also when the whole check is interrupted.
            with contextlib.suppress(ProcessLookupError):
                os.killpg(process.pid, signal.SIGKILL)
    return Outcome(step.name, code, time.monotonic() - start)


def steps_beside(steps: Sequence[Step]) -> list[Outcome]:
    """Run steps that each keep one processor busy, as many at once as there are."""
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        return list(pool.map(step_told, steps))


def step_told(step: Step) -> Outcome:
    """Run one step and show its output at its end, so that it does not mix with that of the step beside it."""
    with TemporaryFile() as output:
        outcome = step_run(step, output)
        output.seek(0)
        print(f"{heading(step)}\n{output.read().decode(errors='replace')}", end="", flush=True)
    return outcome


def heading(step: Step) -> str:
    """Return the line that says which step this is."""
    shown = shorten(" ".join(step.arguments), WIDTH, placeholder=" …")
    return f"\n=== {step.name}: python {shown}"


def environment(step: Step) -> dict[str, str]:
    """Return what a step sees; what Python compiles is kept, as each process would compile all of it again."""
    told = {"PYTHONUNBUFFERED": "1", "PYTHONDONTWRITEBYTECODE": ""}
    return {**surroundings(os.environ), **told, **step.settings}


def summary(outcomes: Sequence[Outcome], total: float) -> str:
    """Return the closing table: one line per step, with how it ended and its seconds, and the seconds of all. [s]"""
    width = max(len(outcome.name) for outcome in outcomes)
    lines = [
        f"{o.name:<{width}}  {'passed' if o.code == 0 else f'FAILED ({o.code})':<12}  {o.seconds:7.1f} s"
        for o in outcomes
    ]
    return "\n".join([*lines, f"{'in all':<{width}}  {'':<12}  {total:7.1f} s"])


def first_failure(outcomes: Sequence[Outcome]) -> int:
    """Return the exit code of the first step that failed, or 0."""
    return next((outcome.code for outcome in outcomes if outcome.code != 0), 0)
