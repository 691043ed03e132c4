"""Bearer tokens, by which other programs act for a person; only their digests are kept."""

import hashlib
import secrets
from datetime import timedelta

from django.db.models import QuerySet
from django.utils import timezone

from engines.errors import DomainError
from logbook.models import ApiToken, Person

TOKEN_BYTES = 32
# Use is noted no more often than this, so that a busy program does not write with each of its requests.
USE_NOTED_EVERY = timedelta(minutes=1)


def token_digest(token: str) -> str:
    """Return what is kept of a token."""
    return hashlib.sha256(token.encode()).hexdigest()


def token_list(person: Person) -> QuerySet[ApiToken]:
    """Return a person's own tokens, revoked ones too, newest first."""
    return ApiToken.objects.filter(person=person)


def token_issue(*, person: Person, label: str, scope: str = ApiToken.Scope.ALL) -> tuple[ApiToken, str]:
    """Make a token for a person, and return its row and the token itself, which is never shown again."""
    if token_list(person).filter(label=label, revoked_at=None).exists():
        message = f"You have a token called “{label}” already. Give this one another name, or revoke that one first."
        raise DomainError(message, code="label_taken", fields={"label": message})
    token = secrets.token_urlsafe(TOKEN_BYTES)
    row = ApiToken(person=person, label=label, scope=scope, digest=token_digest(token))
    row.full_clean()
    row.save()
    return row, token


def token_revoke(*, token: ApiToken) -> ApiToken:
    """End a token; one that has ended keeps its first time."""
    if token.revoked_at is None:
        token.revoked_at = timezone.now()
        token.save(update_fields=["revoked_at"])
    return token


def token_known(token: str) -> ApiToken | None:
    """Return the row of a token: none once it is revoked or its person's account is closed."""
    found = ApiToken.objects.filter(
        digest=token_digest(token), revoked_at__isnull=True, person__is_active=True
    ).select_related("person__operator")
    return found.first()


def token_used(*, token: ApiToken) -> None:
    """Note that a token was used now."""
    now = timezone.now()
    if token.last_used_at is None or now - token.last_used_at >= USE_NOTED_EVERY:
        token.last_used_at = now
        token.save(update_fields=["last_used_at"])
