"""What a signature is: whose it is, what it means in words, how the signer was known, and of which text."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from django.utils import timezone

from logbook.ledger.canonical import canonical
from logbook.models import Certificate, Person

PASSWORD: Final = "password"
PASSKEY: Final = "passkey"
DEMO: Final = "demo"
FACTORS: Final = {
    PASSWORD: "password, given at the moment of signing",
    PASSKEY: "passkey, used at the moment of signing",
    DEMO: "none: invented with the demo, nobody signed",
}
CONFIRMS: Final = "I confirm what was run, read and recorded. It approves nothing for return to service."
# What is known only at the moment of signing, and so can't be part of the text that is read before it.
OF_THE_MOMENT: Final = frozenset({"at", "device_at", "factor", "text_sha256"})


@dataclass(frozen=True)
class Signing:
    """How somebody signs: the factor given at that moment, what it means, and under which certificate.

    ``device_at`` is the clock of the signer's device, which may be wrong; the server's stands beside it.
    """

    factor: str
    meaning: str
    certificate: Certificate | None = None
    device_at: datetime | None = None


def signed_body(body: dict[str, Any], by: Person, signing: Signing, at: datetime) -> dict[str, Any]:
    """Return a body with its signature, bound to the hash of the text that the signer read."""
    certificate = signing.certificate
    signature = {
        "name": str(by),
        "user_code": by.username,
        "role": by.get_role_display(),
        "meaning": signing.meaning,
        "certificate_kind": certificate.kind if certificate else None,
        "certificate_number": certificate.number if certificate else None,
        "certificate_ratings": certificate.ratings if certificate else None,
        "certificate_valid_from": _day(certificate.valid_from) if certificate else None,
        "certificate_valid_until": _day(certificate.valid_until) if certificate else None,
    }
    return body | {
        "signed": signature
        | {
            "at": timezone.localtime(at).isoformat(timespec="seconds"),
            "device_at": signing.device_at.isoformat(timespec="seconds") if signing.device_at else None,
            "factor": FACTORS[signing.factor],
            "text_sha256": text_hash(body | {"signed": signature}),
        }
    }


def text_hash(body: dict[str, Any]) -> str:
    """Return the SHA-256 of a text as it is read before it is signed."""
    signature = {name: value for name, value in body["signed"].items() if name not in OF_THE_MOMENT}
    return hashlib.sha256(canonical(body | {"signed": signature}).encode()).hexdigest()


def texts_hash(bodies: Sequence[dict[str, Any]]) -> str:
    """Return the hash of texts that are read and signed together: that of the text itself where it is one."""
    hashes = [text_hash(body) for body in bodies]
    return hashes[0] if len(hashes) == 1 else hashlib.sha256("".join(hashes).encode()).hexdigest()


def _day(value: Any) -> str | None:
    return None if value is None else value.isoformat()
