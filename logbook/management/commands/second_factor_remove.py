"""Let a person in again who has lost phone, key and recovery codes alike."""

from argparse import ArgumentParser
from typing import Any

from allauth.mfa.models import Authenticator
from django.core.management.base import BaseCommand, CommandError

from logbook.models import Person


class Command(BaseCommand):
    """The way back for who knows the password and nothing more; whoever runs it has seen the person."""

    help = "Remove a person's passkeys, codes and recovery codes, so that the password alone signs in."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take whose they are."""
        parser.add_argument("username", help="what the person signs in with")

    def handle(self, *args: Any, **options: Any) -> None:
        """Remove them all, and say how many there were."""
        person = Person.objects.filter(username=options["username"]).first()
        if person is None:
            raise CommandError(f"There is no person with the username {options['username']!r}.")
        count, _ = Authenticator.objects.filter(user=person).delete()
        self.stdout.write(f"{person} signs in by password alone; removed: {count}.")
