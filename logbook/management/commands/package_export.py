"""Write the whole record of an engine, or of a part alone, into one package to hand over."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from engines.errors import DomainError
from engines.models import Operator
from logbook.access import DIRECTOR
from logbook.handover.export import Export, package_write
from logbook.handover.gathering import scope_of_engine, scope_of_part
from logbook.handover.tables import Scope
from logbook.models import Person


class Command(BaseCommand):
    """The command line's way to a package."""

    help = "Write the record of an engine, or of a part, into one package that anybody can check."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("serial", help="serial of the engine, or of the part with --part-number")
        parser.add_argument("--operator", required=True, help="name of the operator whose it is")
        parser.add_argument("--part-number", default="", help="pack a part of this number alone")
        parser.add_argument("--by", default="", help="username of whoever hands it over; else the first director")
        parser.add_argument("-o", "--output", required=True, help="file to write; one that is there is not overwritten")

    def handle(self, *args: Any, **options: Any) -> None:
        """Write the file, complete or not at all."""
        operator = Operator.objects.filter(name=options["operator"]).first()
        if operator is None:
            raise CommandError(f"There is no operator named {options['operator']!r}.")
        export = Export(_scope(operator, options), operator, _person(operator, options["by"]), self._told)
        path = Path(options["output"])
        try:
            with path.open("xb+") as file:
                package_write(export, file)
        except FileExistsError as error:
            raise CommandError(f"{path} is there already.") from error
        except DomainError as error:
            path.unlink()
            raise CommandError(error.message) from error
        except BaseException:
            path.unlink(missing_ok=True)
            raise
        self.stdout.write(
            f"{path}: {path.stat().st_size} bytes. Check it with check.py or check.html, which are in it."
        )

    def _told(self, done: int, of: int) -> None:
        if done == of or done % 100 == 0:
            self.stderr.write(f"{done} of {of}")


def _scope(operator: Operator, options: dict[str, Any]) -> Scope:
    serial, number = options["serial"], options["part_number"]
    if number:
        part = operator.components.filter(part_number=number, serial=serial).first()
        if part is None:
            raise CommandError(f"{operator} has no part {number} with serial {serial}.")
        return scope_of_part(part)
    engine = operator.engines.filter(serial=serial).order_by("-pk").first()
    if engine is None:
        raise CommandError(f"{operator} has no engine with serial {serial}.")
    return scope_of_engine(engine)


def _person(operator: Operator, username: str) -> Person:
    people = Person.objects.filter(operator=operator, is_active=True)
    chosen = people.filter(username=username) if username else people.filter(role=DIRECTOR)
    person = chosen.order_by("pk").first()
    if person is None:
        raise CommandError(
            f"{operator} has no {'person ' + repr(username) if username else 'director'} to hand it over."
        )
    return person
