"""Check everything: style, types, the project's own checks, every test on SQLite, the database tests on PostgreSQL."""

import os
import sys
import tempfile
import time
from dataclasses import replace

from tests.harness.chromium import VARIABLE, ChromiumMissing, chromium_ensure
from tests.harness.poppler import PopplerMissing, poppler_ensure
from tests.harness.postgres import postgres_server
from tests.harness.steps import Outcome, Step, first_failure, step_run, steps_beside, summary
from tests.layers import PURE_MODULES

WHOLE_PERCENT = 95
AT_ONCE = ("-n", str(os.cpu_count() or 1), "--max-worker-restart", "1")  # as many as there are processors
# Each file whole in one of them, as its tests share what they set up; those of the browser share nothing.
SHARED_OUT = (*AT_ONCE, "--dist", "loadfile", "--no-loadscope-reorder")
BY_TEST = (*AT_ONCE, "--dist", "worksteal")


def checks() -> list[Step]:
    """Return the checks that run no test, the longest first."""
    docstrings = ["--preview", "--select", "D,D417,DOC", "--ignore", "D105,D107,D400"]
    return [
        Step("types", ["-m", "mypy"]),
        Step("lint", ["-m", "ruff", "check"]),
        Step("docstrings", ["-m", "ruff", "check", *docstrings, *PURE_MODULES]),
        Step("format", ["-m", "ruff", "format", "--check"]),
        Step("system check", ["manage.py", "check"]),
        Step("migrations", ["manage.py", "makemigrations", "--check", "--dry-run"]),
        Step("API description", ["manage.py", "spectacular", "--validate", "--fail-on-warn", "--file", os.devnull]),
    ]


def tests_on_sqlite() -> list[Step]:
    """Return every test on SQLite, and the two gates on what those without a browser covered."""
    report = ["-m", "coverage", "report", "--fail-under"]
    covered = ["--cov", "--cov-report="]
    return [
        Step("tests on SQLite", ["-m", "pytest", *SHARED_OUT, "--no-browser", *covered]),
        Step("coverage of the whole", [*report, str(WHOLE_PERCENT)]),
        Step("coverage of the arithmetic", [*report, "100", f"--include={','.join(PURE_MODULES)}"]),
        # By themselves, as the browser's driver leaves an event loop behind in which nothing else may start one; and
        # not counted: what they cover must be covered without a browser.
        Step("tests in the browser", ["-m", "pytest", *BY_TEST, "--browser-only", "-v"]),
    ]


def tests_on_postgres() -> Outcome:
    """Run the tests that touch the database on a PostgreSQL server of their own."""
    with postgres_server() as database:
        arguments = ["-m", "pytest", *SHARED_OUT, "--database-only", "--migrations"]
        return step_run(Step("database tests on PostgreSQL", arguments, {"EMBERMARK_DATABASE": database}))


def main() -> int:
    """Run every step, whatever the earlier ones said, and return the first failure's code."""
    try:
        os.environ[VARIABLE] = chromium_ensure()
        poppler_ensure()
    except (ChromiumMissing, PopplerMissing) as error:
        print(error, file=sys.stderr)
        return 2
    start = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="embermark-tests-") as folder:
        # A secret that is given, as steps side by side would each make one.
        site = {"EMBERMARK_DATA": folder, "EMBERMARK_SECRET_KEY": "only for tests"}
        outcomes = steps_beside([replace(step, settings=site) for step in checks()])
        outcomes += [step_run(replace(step, settings=site)) for step in tests_on_sqlite()]
    outcomes.append(tests_on_postgres())
    print(f"\n{summary(outcomes, time.monotonic() - start)}", flush=True)
    return first_failure(outcomes)


if __name__ == "__main__":
    sys.exit(main())
