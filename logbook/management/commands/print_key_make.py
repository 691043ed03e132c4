"""A key that signs an operator's prints, where it has none from elsewhere."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from engines.errors import DomainError
from engines.models import Operator
from logbook.seals import seal_make, seal_paths


class Command(BaseCommand):
    """Makes a key and a self-issued certificate, once."""

    help = "Make a key and a certificate, issued by the operator itself, that sign its prints from now on."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take whose prints are signed."""
        parser.add_argument("--operator", required=True, metavar="NAME", help="name of the operator")

    def handle(self, *args: Any, **options: Any) -> None:
        """Make both files, and say where they lie."""
        operator = Operator.objects.filter(name=options["operator"]).first()
        if operator is None:
            raise CommandError(f"There is no operator named “{options['operator']}”.")
        try:
            seal = seal_make(operator)
        except DomainError as error:
            raise CommandError(str(error)) from error
        key, certificate = seal_paths(operator)
        self.stdout.write(f"Key          {key}\nCertificate  {certificate}\n{seal.words}")
        self.stdout.write("Give the certificate to whoever checks prints; keep the key to yourselves, with a copy.")
