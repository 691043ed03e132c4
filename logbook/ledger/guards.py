"""Triggers by which the database itself refuses to change or to delete what is kept, also to plain SQL."""

from collections.abc import Iterator
from typing import Any, Final

from django.apps import apps
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import Model

from engines.models import Reading, Run, RunTrace
from engines.models.kept import Kept
from inspections.models import Release

REFUSAL: Final = "rows of {table} are only ever added"
ALSO_KEPT: Final[tuple[type[Model], ...]] = (Reading, RunTrace, Release)
NEVER_DELETED: Final[tuple[type[Model], ...]] = (Run,)


def guarded(vendor: str) -> Iterator[tuple[str, str]]:
    """Yield each table and the kinds of statement that its guards refuse on a kind of database."""
    removing = ("DELETE", "TRUNCATE") if vendor == "postgresql" else ("DELETE",)
    kept: list[type[Model]] = [model for model in apps.get_models() if issubclass(model, Kept)]
    for model in (*kept, *ALSO_KEPT, *NEVER_DELETED):
        statements = removing if model in NEVER_DELETED else ("UPDATE", *removing)
        yield from ((model._meta.db_table, statement) for statement in statements)


def guard_name(table: str, statement: str) -> str:
    """Return the name of the trigger by which a table refuses a kind of statement."""
    return f"{table}_no_{statement.lower()}"


def guards_set(connection: BaseDatabaseWrapper) -> None:
    """Make every guard that is not there."""
    there = guards_there(connection)
    tables = set(connection.introspection.table_names())
    with connection.cursor() as cursor:
        for table, statement in guarded(connection.vendor):
            if table in tables and guard_name(table, statement) not in there:
                for line in _making(connection.vendor, table, statement):
                    cursor.execute(line)


def guards_lift(connection: BaseDatabaseWrapper) -> None:
    """Take every guard away; for migrations that must rewrite a kept table, which set them again at their end."""
    there = guards_there(connection)
    with connection.cursor() as cursor:
        for table, statement in guarded(connection.vendor):
            name = guard_name(table, statement)
            if name in there:
                on = f' ON "{table}"' if connection.vendor == "postgresql" else ""
                cursor.execute(f'DROP TRIGGER "{name}"{on}')


def guards_there(connection: BaseDatabaseWrapper) -> set[str]:
    """Return the names of the triggers that the database has and does not pass over."""
    lists = {
        "sqlite": "SELECT name FROM sqlite_master WHERE type = 'trigger'",
        "postgresql": "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled <> 'D'",
    }
    with connection.cursor() as cursor:
        cursor.execute(lists[connection.vendor])
        return {name for (name,) in cursor.fetchall()}


def guards_missing(connection: BaseDatabaseWrapper) -> list[str]:
    """Return the names of the guards that are not there."""
    there = guards_there(connection)
    return [name for name in (guard_name(*guard) for guard in guarded(connection.vendor)) if name not in there]


def _making(vendor: str, table: str, statement: str) -> list[str]:
    name, refusal = guard_name(table, statement), REFUSAL.format(table=table)
    if vendor == "sqlite":
        return [
            f'CREATE TRIGGER "{name}" BEFORE {statement} ON "{table}" BEGIN SELECT RAISE(ABORT, \'{refusal}\'); END'
        ]
    each = "STATEMENT" if statement == "TRUNCATE" else "ROW"
    return [
        f'CREATE OR REPLACE FUNCTION "{name}"() RETURNS trigger LANGUAGE plpgsql AS '
        f"$$ BEGIN RAISE EXCEPTION '{refusal}' USING ERRCODE = 'integrity_constraint_violation'; END $$",
        f'CREATE TRIGGER "{name}" BEFORE {statement} ON "{table}" FOR EACH {each} EXECUTE FUNCTION "{name}"()',
    ]


def guards_after_migrating(using: str, **signal: Any) -> None:
    """Set the guards once the tables stand as the code wants them."""
    from django.db import connections

    guards_set(connections[using])
