"""The main job at a glance: store the invented demo, print what its runs call for, and serve the site."""

import os
import socket
import sys
from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand
from django.utils import timezone

from engines.models import Engine, Operator, Run
from engines.units import symbol_of
from inspections.drawing.words import short_of
from inspections.models import Exceedance
from inspections.queries import exceedances_of
from logbook.conditions import conditions_of
from logbook.demo.loading import PASSWORD, demo_load
from logbook.demo.plan import DemoPlan, plan_read
from logbook.models import ApiToken, Person
from logbook.seals import seal_make, seal_paths
from logbook.tokens import token_issue, token_revoke

HOST, FIRST_PORT, PORTS_TRIED = "127.0.0.1", 8000, 100
TOKEN_LABEL = "demo"


class Command(BaseCommand):
    """The README's first command ends here; it may be run again at any time."""

    help = "Store the invented demo, print what its runs call for, and serve the site on this machine."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take where to serve, or not to."""
        parser.add_argument("--port", type=int, help=f"serve on this port (else the first free from {FIRST_PORT} on)")
        parser.add_argument("--no-serve", action="store_true", help="stop after printing")

    def handle(self, *args: Any, **options: Any) -> None:
        """Set up, judge, print, serve."""
        settings.DATA_DIR.mkdir(parents=True, exist_ok=True)
        call_command("migrate", verbosity=0, interactive=False)
        call_command("collectstatic", verbosity=0, interactive=False)
        plan = plan_read()
        self.stdout.write(f"{plan.operator}, {plan.place}. {plan.note}\n\nWhat each run calls for:")
        for run in demo_load(plan, timezone.localdate()):
            self.stdout.write(run_line(run))
        operator = Operator.objects.get(name=plan.operator)
        if not any(path.exists() for path in seal_paths(operator)):
            seal_make(operator)
        self._conditions(plan)
        if not options["no_serve"]:
            self._serve(plan, options["port"] or free_port())

    def _conditions(self, plan: DemoPlan) -> None:
        engines = Engine.objects.filter(operator__name=plan.operator, left_at=None)
        self.stdout.write("\nEngines:")
        conditions = conditions_of(engines)
        for engine in engines:
            condition = conditions[engine.pk]
            self.stdout.write("; ".join([f"  {engine.serial}  {condition.label}", *condition.reasons]))

    def _serve(self, plan: DemoPlan, port: int) -> None:
        address = f"http://{HOST}:{port}"
        director = Person.objects.get(username=next(p.username for p in plan.people if p.role == "director"))
        for token in ApiToken.objects.filter(person=director, label=TOKEN_LABEL, revoked_at=None):
            token_revoke(token=token)
        _, token_text = token_issue(person=director, label=TOKEN_LABEL)
        lines = [f"  {p.username:<10} {p.first_name} {p.last_name}, {p.role}" for p in plan.people]
        self.stdout.write(
            "\n".join(
                [
                    f"\nSign in at {address}/ with the password “{PASSWORD}” as one of",
                    *lines,
                    f"REST at {address}/api/v1/docs/ with  Authorization: Bearer {token_text}",
                    "Everything here is invented; no limit shown is real. Stop with Ctrl-C.\n",
                ]
            )
        )
        sys.stdout.flush()
        server = ["-m", "granian", "--interface", "wsgi", "--host", HOST, "--port", str(port), "--workers", "2"]
        quiet = ["--blocking-threads", "1", "--no-ws", "--log-level", "warning", "logbook.wsgi:application"]
        os.execv(sys.executable, [sys.executable, *server, *quiet])


def run_line(run: Run) -> str:
    """Return one line on a run: when, what, and what it calls for."""
    about = f"  {run.started_at:%Y-%m-%d %H:%M}  {run.engine.serial}  {run.get_kind_display():<13}"
    rows = list(exceedances_of(run))
    called = {i.pk: f"{i.summary} ({i.chart}, {i.rule})" for i in run.inspections.order_by("number")}
    if called:
        return f"{about} calls for {'; '.join(called.values())}"
    return f"{about} {near_miss(rows) if rows else 'within limits'}"


def near_miss(rows: list[Exceedance]) -> str:
    """Return the nearest that a run came to an area without entering one."""
    row = min(rows, key=lambda r: (r.margin or {}).get("value") or float("inf"))
    margin = row.margin or {}
    if margin.get("value") is None:
        return f"beyond the limit, no area entered ({row.chart})"
    short = f"{short_of(margin['value'])} {symbol_of(row.unit)}"
    return f"beyond the limit, {short} short of area {margin['next_area']} ({row.chart})"


def free_port() -> int:
    """Return the first port that nobody serves on."""
    for port in range(FIRST_PORT, FIRST_PORT + PORTS_TRIED):
        with socket.socket() as trial:
            trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                trial.bind((HOST, port))
            except OSError:
                continue
            return port
    raise SystemExit(f"No port from {FIRST_PORT} to {FIRST_PORT + PORTS_TRIED - 1} is free; give one with --port.")
