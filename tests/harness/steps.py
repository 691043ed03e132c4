"""The steps of the whole check, each a command with its own environment, run one after the other."""

import os
import subprocess
import sys
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from textwrap import shorten

from tests.harness.surroundings import surroundings
from tests.layers import ROOT

WIDTH = 100  # of a command as it is shown


@dataclass(frozen=True)
class Step:
    """One command of this virtual environment, given as the arguments of its Python."""

    name: str
    arguments: Sequence[str]
    settings: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Outcome:
    """How a step ended: its exit code and how long it took. [s]"""

    name: str
    code: int
    seconds: float


def step_run(step: Step) -> Outcome:
    """Run one step with its output shown as it comes."""
    shown = shorten(" ".join(step.arguments), WIDTH, placeholder=" …")
    print(f"\n=== {step.name}: python {shown}", flush=True)
    start = time.monotonic()
    command = [sys.executable, *step.arguments]
    environment = {**surroundings(os.environ), "PYTHONUNBUFFERED": "1", **step.settings}
    code = subprocess.run(command, cwd=ROOT, env=environment, check=False).returncode
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
