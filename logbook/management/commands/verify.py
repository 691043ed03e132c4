"""Verify the record from the rows up, and name the first thing that is wrong."""

import os
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from engines.models import Operator
from logbook.ledger.checking import ledger_check
from logbook.ledger.evidence import evidence_check
from logbook.ledger.lots import LedgerBroken
from logbook.management.operators import operators_named


class Command(BaseCommand):
    """Verify entries, order, tree, checkpoints, and what the entries rest on."""

    help = "Verify the record from the rows up; the exit code is 1 where anything is wrong."

    def add_arguments(self, parser: CommandParser) -> None:
        """Add what can be asked."""
        parser.add_argument("--operator", default="", help="verify one operator's record; all of them otherwise")
        parser.add_argument("--checkpoint", type=Path, help="hold it against a checkpoint that was kept elsewhere")
        parser.add_argument("--entries-only", action="store_true", help="pass over recorded files and runs")

    def handle(self, *args: Any, **options: Any) -> None:
        """Verify, and say what was found."""
        if options["checkpoint"] and not options["operator"]:
            raise CommandError("Name the operator whose checkpoint it is, with --operator.")
        for operator in operators_named(options["operator"]):
            self._verify(operator, options)

    def _verify(self, operator: Operator, options: dict[str, Any]) -> None:
        note = options["checkpoint"].read_text(encoding="utf8") if options["checkpoint"] else ""
        try:
            checked = ledger_check(operator, kept_note=note, processes=os.cpu_count() or 1)
            files = None if options["entries_only"] else evidence_check(operator)
        except LedgerBroken as error:
            raise CommandError(f"{operator.name}: {error.message}") from error
        seen = "" if files is None else f", {files} recorded files"
        self.stdout.write(
            f"{operator.name}: whole. {checked.size} entries{seen}, {checked.checkpoints} checkpoints hold. "
            f"Root {checked.root.hex()}"
        )
