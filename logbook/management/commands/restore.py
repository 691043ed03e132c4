"""Put a backup back where nothing is kept yet, and verify it."""

from pathlib import Path
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser

from logbook.backups import BackupUnusable, backup_restore


class Command(BaseCommand):
    """Put database, recorded files and keys back."""

    help = "Put a backup back where nothing is kept yet, bring it up to date, and verify it."

    def add_arguments(self, parser: CommandParser) -> None:
        """Add what can be asked."""
        parser.add_argument("backup", type=Path, help="the folder that backup named")

    def handle(self, *args: Any, **options: Any) -> None:
        """Put it back, migrate, verify."""
        try:
            backup_restore(options["backup"])
        except BackupUnusable as error:
            raise CommandError(error.message) from error
        call_command("migrate", verbosity=0)
        call_command("verify", stdout=self.stdout)
