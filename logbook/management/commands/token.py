"""Make a bearer token for a person, and print it this once."""

from argparse import ArgumentParser
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError

from engines.errors import DomainError
from logbook.access import READ
from logbook.models import ApiToken, Person
from logbook.tokens import token_issue


class Command(BaseCommand):
    """The command line's way to a token."""

    help = "Make a bearer token for a person and print it; it cannot be shown again."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("username", help="whose token it is")
        parser.add_argument("--label", required=True, help="what the token is for, to know it by later")
        parser.add_argument(
            "--scope", choices=ApiToken.Scope.values, default=READ, help="what it may do; read, unless said"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        person = Person.objects.filter(username=options["username"]).first()
        if person is None:
            raise CommandError(f"There is no person with the username {options['username']!r}.")
        try:
            _, token = token_issue(person=person, label=options["label"], scope=options["scope"])
        except DomainError as error:
            raise CommandError(error.message) from error
        except ValidationError as error:
            raise CommandError(f"The label does not do: {' '.join(error.messages)}") from error
        self.stdout.write(token)
