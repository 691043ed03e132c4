"""Judge a recorded trace by an engine type document; needs no database."""

import json
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from engines.charts import EngineTypeData
from engines.documents import engine_type_read
from engines.errors import DomainError
from engines.recordings import recording_read
from engines.traces import Recording
from inspections.drawing.facts import sentence_of
from inspections.exceedance import judge
from inspections.verdict import Verdict

UNUSABLE = 2


class Command(BaseCommand):
    """The first door: a file and a document in, the verdict out; exit status 0 whatever it says, 2 for bad input."""

    help = "Judge a recorded trace (CSV or Parquet) by the limit charts of an engine type document."
    requires_system_checks: list[str] = []
    requires_migrations_checks = False

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the trace, the type, and how columns are to be read."""
        parser.add_argument("trace", metavar="TRACE", help="the recorded trace: CSV or Parquet")
        parser.add_argument("--type", required=True, metavar="TYPE.json", help="the engine type document")
        parser.add_argument(
            "--column",
            action="append",
            default=[],
            metavar="CHANNEL=HEADER",
            help='read a column as a channel, for example --column itt="T5 deg C"; time_s names the time',
        )
        parser.add_argument("--json", action="store_true", help="print the verdict as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        """Judge, and print the verdict."""
        try:
            engine_type = engine_type_read(_document(Path(options["type"])))
            columns = _columns(options["column"], engine_type)
            path = Path(options["trace"])
            recording = recording_read(path, engine_type, columns=columns, name=path.name)
        except (DomainError, CommandError, OSError) as error:
            self.stderr.write(" ".join(str(error).split()))
            sys.exit(UNUSABLE)
        verdict = judge(recording, engine_type)
        if options["json"]:
            self.stdout.write(json.dumps(verdict.document(), indent=1, ensure_ascii=False, allow_nan=False))
        else:
            self.stdout.write("\n".join(verdict_lines(verdict, recording, engine_type)))


def _document(path: Path) -> Any:
    try:
        return json.loads(path.read_text(encoding="utf-8-sig"))
    except OSError as error:
        raise CommandError(f"{path} can't be read: {(error.strerror or str(error)).lower()}.") from error
    except RecursionError as error:
        raise CommandError(f"{path} is nested too deeply for an engine type document.") from error
    except ValueError as error:
        # Neither JSON nor, where a number has thousands of digits, a number that can be kept.
        raise CommandError(f"{path} is not JSON: {error}.") from error


def _columns(pairs: list[str], engine_type: EngineTypeData) -> dict[str, str]:
    columns: dict[str, str] = {}
    known = ["time_s", *(channel.name for channel in engine_type.channels)]
    for pair in pairs:
        channel, separator, header = pair.partition("=")
        if not separator or not header.strip():
            raise CommandError(f'--column {pair}: write CHANNEL=HEADER, for example itt="T5 deg C".')
        if channel.strip() not in known:
            raise CommandError(f"--column {pair}: {channel} is not a channel; there are {', '.join(known)}.")
        if channel.strip() in columns:
            raise CommandError(f"--column {pair}: {channel} is given twice.")
        columns[channel.strip()] = header.strip()
    return columns


def verdict_lines(verdict: Verdict, recording: Recording, engine_type: EngineTypeData) -> list[str]:
    """Return a verdict in sentences, one a line."""
    used = ", ".join(f"{m.channel} from “{m.header}”" for m in recording.matches)
    return [
        f"{verdict.samples:,} samples; {used}.",
        *_usage_lines(verdict),
        *(_excursion_lines(verdict, engine_type) or ["No reading was beyond a limit in what was recorded."]),
        *_what_is_missing(verdict, recording),
        "Repeats are not counted here: they need the engine's history.",
        "This proposes; the maker's approved data come first, and a person decides and signs.",
    ]


def _usage_lines(verdict: Verdict) -> list[str]:
    usage = verdict.usage
    return [f"{usage.hours:.2f} h from light-off, {usage.starts} starts, {usage.cycles} cycles."] if usage else []


def _excursion_lines(verdict: Verdict, engine_type: EngineTypeData) -> list[str]:
    charts = {chart.name: chart for chart in engine_type.charts}
    return [f"{e.chart}: {sentence_of(e, charts[e.chart], engine_type.channel(e.channel))}" for e in verdict.excursions]


def _what_is_missing(verdict: Verdict, recording: Recording) -> list[str]:
    lines = [f"Not judged: {n.chart}, {n.reason}." for n in verdict.not_judged]
    lines += [f"Note: {note}" for note in verdict.notes]
    lines += [f"Not observed: {u.channel} from {u.start_s:.1f} to {u.end_s:.1f} s." for u in verdict.unobserved]
    lines += [f"Ignored: {i.cells} cells of “{i.column}”, for example “{i.example}”." for i in verdict.ignored]
    return [*lines, f"Not used: {', '.join(recording.unused)}."] if recording.unused else lines
