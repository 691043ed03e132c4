"""The steps of the whole check, each a command with its own environment, run one after the other."""

import contextlib
import os
import signal
import subprocess
import sys
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from textwrap import shorten

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


def step_run(step: Step) -> Outcome:
    """Run one step with its output shown as it comes; one that goes on for too long is stopped with all it started."""
    shown = shorten(" ".join(step.arguments), WIDTH, placeholder=" …")
    print(f"\n=== {step.name}: python {shown}", flush=True)
    start = time.monotonic()
    command = [sys.executable, *step.arguments]
    environment = {**surroundings(os.environ), "PYTHONUNBUFFERED": "1", **step.settings}
    with subprocess.Popen(command, cwd=ROOT, env=environment, start_new_session=True) as process:
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


def summary(outcomes: Sequence[Outcome]) -> str:
    """Return the closing table: one line per step, with how it ended and its seconds."""
    width = max(len(outcome.name) for outcome in outcomes)
    lines = [
        f"{o.name:<{width}}  {'passed' if o.code == 0 else f'FAILED ({o.code})':<12}  {o.seconds:7.1f} s"
        for o in outcomes
    ]
    total = sum(outcome.seconds for outcome in outcomes)
    return "\n".join([*lines, f"{'in all':<{width}}  {'':<12}  {total:7.1f} s"])


def first_failure(outcomes: Sequence[Outcome]) -> int:
    """Return the exit code of the first step that failed, or 0."""
    return next((outcome.code for outcome in outcomes if outcome.code != 0), 0)
