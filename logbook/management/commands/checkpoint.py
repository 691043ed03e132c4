"""Sign what the record is now, to be kept where nobody who can change the record can reach."""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.mail import send_mail
from django.core.management.base import BaseCommand, CommandParser

from logbook.ledger.store import checkpoint_make
from logbook.management.operators import operators_named


class Command(BaseCommand):
    """Make a checkpoint of each operator's record and hand it out."""

    help = "Sign what the record is now; print it, write it to a folder, or mail it."

    def add_arguments(self, parser: CommandParser) -> None:
        """Add what can be asked."""
        parser.add_argument("--operator", default="", help="of one operator; of all of them otherwise")
        parser.add_argument("--folder", type=Path, help="write each checkpoint to a file in this folder")
        parser.add_argument("--mail", default="", help="send each checkpoint to this address")

    def handle(self, *args: Any, **options: Any) -> None:
        """Make the checkpoints and hand them out."""
        for operator in operators_named(options["operator"]):
            point = checkpoint_make(operator)
            if point is None:
                self.stdout.write(f"{operator.name}: no entries yet.")
                continue
            subject = f"Checkpoint of {operator.name}, {point.size} entries"
            if options["folder"]:
                path = options["folder"] / f"checkpoint-{operator.pk}-{point.size}.txt"
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_text(point.note, encoding="utf8")
                self.stdout.write(f"{subject}: {path}")
            if options["mail"]:
                send_mail(subject, point.note, settings.DEFAULT_FROM_EMAIL, [options["mail"]])
                self.stdout.write(f"{subject}: sent to {options['mail']}")
            if not options["folder"] and not options["mail"]:
                self.stdout.write(point.note)
