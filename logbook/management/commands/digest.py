"""Send the daily mails of what is due and open; to be run once a day, and harmless when run again."""

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from logbook.notices import digest_send, digests_due


class Command(BaseCommand):
    """Mail what is due and open to everybody who chose to get it."""

    help = "Mail what is due and open to everybody who chose to get it; run it once a day."

    def handle(self, *args: Any, **options: Any) -> None:
        """Send what is not sent yet today."""
        missing = [name for name in ("SMTP", "ADDRESS") if not getattr(settings, name)]
        if missing:
            named = " and ".join(f"EMBERMARK_{name}" for name in missing)
            raise CommandError(f"{named} must be set before mail can go out.")
        today, sent, empty = timezone.localdate(), 0, 0
        for choice in digests_due(today):
            if digest_send(choice, today):
                sent += 1
            else:
                empty += 1
        self.stdout.write(f"{sent} sent; {empty} had nothing to say and got none.")
