"""People, their certificates and tokens; entries stand in ``logbook.ledger.rows``."""

from django.contrib.auth.models import AbstractUser
from django.db import models
from django.utils import timezone

from engines.models import Operator
from logbook.access import ALL, READ, RECORD, SCOPES, may
from logbook.roles import Role
from logbook.statements.coverage import COVERS


class Person(AbstractUser):
    """One account is one natural person, of one operator, with one role."""

    operator = models.ForeignKey(Operator, null=True, blank=True, on_delete=models.PROTECT, related_name="people")
    role = models.CharField(max_length=20, choices=Role, blank=True)
    must_change_password = models.BooleanField(
        default=False, help_text="Signs in with a one-time password, and has to set an own one before anything else."
    )

    shown_units = models.JSONField(
        default=dict, blank=True, help_text="The unit in which they see a channel; an empty name is every temperature."
    )
    one_time_until = models.DateTimeField(
        null=True, blank=True, help_text="Until when the one-time password is good; empty where there is none."
    )

    def __str__(self) -> str:
        return self.get_full_name() or self.username

    @property
    def has_expired(self) -> bool:
        """Return whether the person's one-time password was not replaced in time, so that it opens nothing."""
        until = self.one_time_until
        return self.must_change_password and until is not None and until <= timezone.now()

    def may(self, act: str) -> bool:
        """Return whether the person's role allows an act named in the access table."""
        return self.operator_id is not None and may(self.role, act)


class Certificate(models.Model):
    """What entitles a person to sign: kind, number, ratings, and from when until when.

    A changed certificate is a new row that says which one it replaces; the old row stays as it was.
    """

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="certificates")
    kind = models.CharField(max_length=120)
    number = models.CharField(max_length=60)
    ratings = models.CharField(max_length=120, blank=True)
    covers = models.JSONField(default=list, blank=True, help_text="What it covers, by the keys of logbook.statements.")
    valid_from = models.DateField(null=True, blank=True)
    valid_until = models.DateField(null=True, blank=True)
    replaces = models.OneToOneField("self", null=True, blank=True, on_delete=models.PROTECT, related_name="replaced_by")
    added_by = models.ForeignKey("Person", null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    added_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.kind} {self.number}"

    @property
    def covered(self) -> list[str]:
        """Return what it covers, in words."""
        return [words for name, words in COVERS.items() if name in self.covers]


class ApiToken(models.Model):
    """A bearer token of one person; only its digest is kept, so it is shown once."""

    class Scope(models.TextChoices):
        """What a token may do of what its person may do."""

        READ = READ, "Read and print"
        RECORD = RECORD, "Read and print, and record runs"
        ALL = ALL, "Do everything that I may do"

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="api_tokens")
    label = models.CharField(max_length=80)
    digest = models.CharField(max_length=64, unique=True)
    scope = models.CharField(max_length=10, choices=Scope)
    created_at = models.DateTimeField(auto_now_add=True)
    last_used_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-created_at", "-pk"]

    def __str__(self) -> str:
        return self.label

    def may(self, act: str) -> bool:
        """Return whether the token's scope allows an act; its person's role must allow it besides."""
        return act in SCOPES[self.scope]


class CacheRow(models.Model):
    """The table of Django's database cache, which all processes share: counters of failed sign-ins."""

    cache_key = models.CharField(max_length=255, primary_key=True)
    value = models.TextField()
    expires = models.DateTimeField(db_index=True)

    class Meta:
        db_table = "embermark_cache"

    def __str__(self) -> str:
        return self.cache_key


# Known to Django as models of this app; they refer to people, so they come after them.
from logbook.desk import AccountChange, Authorization, Concern, SavedView, Settlement  # noqa: E402
from logbook.first_start_rows import FirstStartEntry  # noqa: E402
from logbook.ledger.rows import Backup, Checkpoint, Entry, LedgerKey, LedgerNode, Unsigned  # noqa: E402
from logbook.maintenance.look_rows import LookLine, RequiredItem  # noqa: E402
from logbook.maintenance.rows import Discrepancy, DiscrepancyLine, Publication, Rules, Work  # noqa: E402
from logbook.notice_rows import CalendarAddress, DigestChoice  # noqa: E402
from logbook.outbox.rows import Arrival  # noqa: E402
from logbook.part_drafts.rows import PartDraft  # noqa: E402
from logbook.part_rows import PartStatement  # noqa: E402
from logbook.photos.rows import Photo, PhotoStrike  # noqa: E402
from logbook.print_rows import PrintJob  # noqa: E402
from logbook.programme_rows import ProgrammeEntry  # noqa: E402
from logbook.received import PackageJob, ReceivedEntry, ReceivedPackage  # noqa: E402

__all__ = [
    "AccountChange",
    "ApiToken",
    "Arrival",
    "Authorization",
    "Backup",
    "CacheRow",
    "CalendarAddress",
    "Certificate",
    "Checkpoint",
    "Concern",
    "DigestChoice",
    "Discrepancy",
    "DiscrepancyLine",
    "FirstStartEntry",
    "Entry",
    "LedgerKey",
    "LedgerNode",
    "LookLine",
    "PackageJob",
    "PartDraft",
    "PartStatement",
    "Person",
    "Photo",
    "PhotoStrike",
    "PrintJob",
    "ProgrammeEntry",
    "Publication",
    "ReceivedEntry",
    "ReceivedPackage",
    "RequiredItem",
    "Rules",
    "SavedView",
    "Settlement",
    "Unsigned",
    "Work",
]
