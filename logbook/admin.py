"""The admin: a reading room for staff, who see the records of their own operator and change nothing there."""

from typing import Final

from django.contrib import admin

from engines.models import Engine, EngineType, Run
from inspections.models import Inspection
from logbook.models import ApiToken, Certificate, Entry, Person
from logbook.staff import Reading

PERSON_COLUMNS: Final = ("username", "first_name", "last_name", "role", "is_active", "is_staff", "last_login")
TOKEN_COLUMNS: Final = ("person", "label", "scope", "created_at", "last_used_at", "revoked_at")
INSPECTION_COLUMNS: Final = ("number", "engine", "summary", "rule", "state")
ENTRY_COLUMNS: Final = ("number", "kind", "engine", "completed_on", "signed_by", "signed_at")


@admin.register(Person)
class PersonReading(Reading):
    """Accounts, without their passwords."""

    list_display = fields = PERSON_COLUMNS


@admin.register(Certificate)
class CertificateReading(Reading):
    """What entitles people to sign."""

    of_operator = "person__operator"
    list_display = ["person", "kind", "number", "ratings", "valid_from", "valid_until"]


@admin.register(ApiToken)
class ApiTokenReading(Reading):
    """Tokens, without their digests."""

    of_operator = "person__operator"
    list_display = fields = TOKEN_COLUMNS


@admin.register(Engine)
class EngineReading(Reading):
    """Engines."""

    list_display = ["serial", "engine_type", "fitted_to", "position"]


@admin.register(EngineType)
class EngineTypeReading(Reading):
    """Engine types."""

    list_display = ["name"]


@admin.register(Run)
class RunReading(Reading):
    """Runs."""

    list_display = ["engine", "kind", "started_at", "recorded_by"]
    fields = ["engine", "kind", "started_at", "remarks", "recorded_by", "recorded_at"]


@admin.register(Inspection)
class InspectionReading(Reading):
    """Inspections."""

    list_display = fields = INSPECTION_COLUMNS


@admin.register(Entry)
class EntryReading(Reading):
    """Entries, as they stood when they were made."""

    list_display = ENTRY_COLUMNS
    fields = (*ENTRY_COLUMNS, "content", "leaf_hash")
