"""Read the starts of runs that were judged before starts were kept, or read them all anew."""

from typing import Any

from django.core.management.base import BaseCommand

from inspections.actions import starts_rebuild
from inspections.models import Judgement


class Command(BaseCommand):
    """Read the starts and shutdowns of stored traces, and keep them with the judgement that stands."""

    help = "Read the starts and shutdowns of stored traces; harmless when run again."

    def handle(self, *args: Any, **options: Any) -> None:
        """Read every judgement that stands, one after another."""
        standing = Judgement.objects.filter(is_current=True).select_related("run__engine", "revision", "trace")
        count = starts_rebuild(standing.iterator())
        self.stdout.write(f"The starts of {count} judgements were read.")
