"""Take a package in: checked first, shown in words, then written whole or not at all."""

import sys
from argparse import ArgumentParser
from getpass import getpass
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from engines.errors import DomainError
from engines.models import Operator
from logbook.access import DIRECTOR
from logbook.handover.importing import MEANING, package_import, package_look
from logbook.models import Person
from logbook.signing import PASSWORD, Signing


class Command(BaseCommand):
    """The command line's way in; whoever signs for it gives their password, or it is read from the input."""

    help = "Take in the record of an engine or a part that another owner handed over."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("package", help="the file")
        parser.add_argument("--operator", required=True, help="name of the operator who takes it in")
        parser.add_argument("--by", required=True, help="username of the director who signs that it was taken in")
        parser.add_argument("--key", default="", help="the owner's key, got from the owner itself")

    def handle(self, *args: Any, **options: Any) -> None:
        """Show what is in it, ask for the signature, and take it in."""
        operator = Operator.objects.filter(name=options["operator"]).first()
        by = Person.objects.filter(username=options["by"], operator=operator, role=DIRECTOR).first()
        if operator is None or by is None:
            raise CommandError(f"{options['by']!r} is no director of an operator named {options['operator']!r}.")
        try:
            with Path(options["package"]).open("rb") as file:
                incoming = package_look(file, options["key"])
                counts = ", ".join(f"{name} {count}" for name, count in incoming.receipt["counts"].items())
                self.stdout.write(f"{incoming.manifest['title']}, from {incoming.manifest['operator']}: {counts}.")
                password = getpass("Password: ") if sys.stdin.isatty() else sys.stdin.readline().rstrip("\n")
                if not by.check_password(password):
                    raise CommandError(f"That is not the password of {by}; nothing was signed or taken in.")
                signing = Signing(PASSWORD, MEANING, by.certificates.filter(replaced_by=None).first())
                package = package_import(file, operator=operator, by=by, signing=signing, key=options["key"])
        except (DomainError, OSError) as error:
            raise CommandError(str(error)) from error
        self.stdout.write(f"Taken in: entry {package.entry.number} of {operator} says so.")
