"""Enter an operator with its director of maintenance, from whom everything else begins."""

import sys
from argparse import ArgumentParser
from getpass import getpass
from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from engines.models import Operator
from logbook.access import DIRECTOR
from logbook.models import Certificate, Person


class Command(BaseCommand):
    """The first account of an operator; the password is asked for, or read from the input where nobody types."""

    help = "Enter an operator with its director of maintenance."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the operator, the person, and what the person signs under."""
        parser.add_argument("operator", help="name of the operator")
        parser.add_argument("username", help="what the director signs in with")
        parser.add_argument("--place", default="", help="where the operator is")
        parser.add_argument("--first-name", required=True)
        parser.add_argument("--last-name", required=True)
        parser.add_argument("--certificate-kind", default="", help="kind of the director's certificate")
        parser.add_argument("--certificate-number", default="")

    def handle(self, *args: Any, **options: Any) -> None:
        """Enter both, or neither."""
        if Operator.objects.filter(name=options["operator"]).exists():
            raise CommandError(f"There is already an operator named {options['operator']}.")
        if Person.objects.filter(username=options["username"]).exists():
            raise CommandError(f"The username {options['username']} is taken.")
        password = getpass("Password: ") if sys.stdin.isatty() else sys.stdin.readline().rstrip("\n")
        try:
            validate_password(password)
        except ValidationError as error:
            raise CommandError(" ".join(error.messages)) from error
        with transaction.atomic():
            operator = Operator.objects.create(name=options["operator"], place=options["place"])
            person = Person.objects.create_user(
                options["username"],
                password=password,
                first_name=options["first_name"],
                last_name=options["last_name"],
                operator=operator,
                role=DIRECTOR,
            )
            if options["certificate_number"]:
                kind, number = options["certificate_kind"], options["certificate_number"]
                Certificate.objects.create(person=person, kind=kind, number=number)
        self.stdout.write(f"{operator} is entered; {person} can sign in as {person.username}.")
