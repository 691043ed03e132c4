"""The private keys of operators' checkpoints: files outside the database, one for each operator."""

import os
from pathlib import Path
from typing import Final

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat, load_pem_private_key
from django.conf import settings

from engines.errors import DomainError
from engines.models import Operator
from logbook.ledger.rows import LedgerKey

PREFIX: Final = "ledger-"


def key_path(operator: Operator) -> Path:
    """Return where an operator's private key lies."""
    return Path(settings.KEYS_DIR) / f"{PREFIX}{operator.pk}.pem"


def key_name(operator: Operator) -> str:
    """Return the name under which an operator's checkpoints are signed."""
    return f"embermark/ledger/{operator.pk}"


def ledger_key(operator: Operator) -> Ed25519PrivateKey:
    """Return the operator's private key, made on first use; its public half is kept in the database.

    Raises DomainError "key_unusable" where the file holds another kind of key or can't be read.
    """
    path = key_path(operator)
    if not path.exists():
        _key_make(path)
    try:
        key = load_pem_private_key(path.read_bytes(), password=None)
    except (OSError, ValueError) as error:
        raise DomainError(f"The key of the ledger can't be read: {error}", code="key_unusable") from error
    if not isinstance(key, Ed25519PrivateKey):
        raise DomainError("The key of the ledger is not an Ed25519 key.", code="key_unusable")
    LedgerKey.objects.get_or_create(operator=operator, public=key.public_key().public_bytes_raw().hex())
    return key


def _key_make(path: Path) -> None:
    """Write a new key, complete or not at all; where another process is first, that one's stays."""
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    pem = Ed25519PrivateKey.generate().private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    draft = path.with_name(f"{path.name}.{os.getpid()}")
    descriptor = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(descriptor, "wb") as file:
        file.write(pem)
        os.fsync(file.fileno())
    try:
        os.link(draft, path)
    except FileExistsError:
        pass
    finally:
        draft.unlink()
