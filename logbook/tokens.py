"""Bearer tokens, by which other programs act for a person; only their digests are kept."""

import hashlib
import secrets

from django.utils import timezone

from logbook.models import ApiToken, Person

TOKEN_BYTES = 32


def token_digest(token: str) -> str:
    """Return what is kept of a token."""
    return hashlib.sha256(token.encode()).hexdigest()


def token_issue(*, person: Person, label: str) -> tuple[ApiToken, str]:
    """Make a token for a person, and return its row and the token itself, which is never shown again."""
    token = secrets.token_urlsafe(TOKEN_BYTES)
    row = ApiToken(person=person, label=label, digest=token_digest(token))
    row.full_clean()
    row.save()
    return row, token


def token_revoke(*, token: ApiToken) -> ApiToken:
    """End a token; one that has ended keeps its first time."""
    if token.revoked_at is None:
        token.revoked_at = timezone.now()
        token.save(update_fields=["revoked_at"])
    return token


def token_person(token: str) -> Person | None:
    """Return who a token stands for: nobody once it is revoked or the person's account is closed."""
    found = ApiToken.objects.filter(
        digest=token_digest(token), revoked_at__isnull=True, person__is_active=True
    ).select_related("person__operator")
    row = found.first()
    return row.person if row else None
