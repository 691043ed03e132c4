"""Where an operator's key for signing prints lies: files outside the database, put there or made by command."""

import os
from pathlib import Path
from typing import Final

from django.conf import settings
from django.utils import timezone

from engines.errors import DomainError
from engines.models import Operator
from logbook.printing.sealing import Seal, SealUnusable, seal_read, self_issued

PREFIX: Final = "print-"


def seal_paths(operator: Operator) -> tuple[Path, Path]:
    """Return where an operator's private key and certificate lie."""
    folder = Path(settings.KEYS_DIR)
    return folder / f"{PREFIX}{operator.pk}.key.pem", folder / f"{PREFIX}{operator.pk}.certificate.pem"


def seal_of(operator: Operator | None) -> Seal | None:
    """Return what signs an operator's prints, or None where there is no key and certificate.

    Raises DomainError "key_unusable" where there are, and they cannot sign: that is not printed as if it were meant.
    """
    if operator is None:
        return None
    key, certificate = seal_paths(operator)
    if not key.exists() or not certificate.exists():
        return None
    try:
        return seal_read(key.read_bytes(), certificate.read_bytes(), at=timezone.now())
    except (OSError, SealUnusable) as error:
        message = f"Prints cannot be signed: {error}. Replace {certificate.name} and its key, or take both away."
        raise DomainError(message, code="key_unusable") from error


def seal_make(operator: Operator) -> Seal:
    """Make a key and a certificate that the operator issues itself, and return what signs with them.

    Raises DomainError "key_present" where there is a key or a certificate already; none is ever overwritten.
    """
    paths = seal_paths(operator)
    if any(path.exists() for path in paths):
        raise DomainError(f"There is a key or a certificate already: {paths[0]}.", code="key_present")
    paths[0].parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    for path, content in zip(paths, self_issued(operator.name, timezone.now()), strict=True):
        descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(descriptor, "wb") as file:
            file.write(content)
    seal = seal_of(operator)
    assert seal is not None
    return seal
