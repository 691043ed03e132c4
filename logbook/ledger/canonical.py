"""The canonical form of entries: what is hashed, signed, exported and checked, byte for byte."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

import rfc8785

from engines.errors import DomainError

HEAD: Final = b'{"body":'


@dataclass(frozen=True)
class EntryFacts:
    """What an entry's row says beside its body; identifiers are those of the place where it was signed."""

    id: str
    number: int
    kind: str
    operator_id: int
    signed_by_id: int
    signed_at: str
    completed_on: str
    engine_id: int | None = None
    component_id: int | None = None
    run_id: str | None = None
    inspection_id: int | None = None
    corrects_id: str | None = None


def canonical(document: Mapping[str, Any]) -> str:
    """Return a document as canonical JSON: keys sorted, no blanks, numbers in their shortest form.

    Parameters
    ----------
    document : mapping
        Anything that JSON can say.

    Returns
    -------
    str
        The text; its UTF-8 bytes are what is hashed.

    Raises
    ------
    DomainError
        "not_canonical", for a number that JSON has no form for, such as one beyond 2**53 or not a number.

    References
    ----------
    RFC 8785, JSON Canonicalization Scheme.
    """
    try:
        return rfc8785.dumps(dict(document)).decode()
    except rfc8785.CanonicalizationError as error:
        raise DomainError(f"This can't be kept in an entry: {error}", code="not_canonical") from error


def tail_of(facts: EntryFacts) -> bytes:
    """Return the end of an entry's document, which follows its body: the row's facts, sorted by name.

    Parameters
    ----------
    facts : EntryFacts
        The row.

    Returns
    -------
    bytes
        From the comma after the body to the closing brace.
    """
    return b"," + canonical(vars(facts)).encode()[1:]


def entry_document(content: str, facts: EntryFacts) -> bytes:
    """Return an entry as one canonical JSON document; "body" sorts before every other name.

    Parameters
    ----------
    content : str
        The body, canonical.
    facts : EntryFacts
        The row.

    Returns
    -------
    bytes
        What an entry's hash is taken of.
    """
    return HEAD + content.encode() + tail_of(facts)
