"""Make a backup while people work."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from logbook.backups import BackupUnusable, backup_make


class Command(BaseCommand):
    """Copy database, recorded files and keys."""

    help = "Copy database, recorded files and keys into a new folder, while people work."

    def add_arguments(self, parser: CommandParser) -> None:
        """Add what can be asked."""
        parser.add_argument("folder", type=Path, help="where backups are kept; best on another machine")

    def handle(self, *args: Any, **options: Any) -> None:
        """Make the backup, and say where it is."""
        try:
            place = backup_make(options["folder"])
        except BackupUnusable as error:
            raise CommandError(error.message) from error
        self.stdout.write(f"{place}\nKeep it as safe as the machine itself: the keys are in it.")
