"""Signed notes and the checkpoints of a tree of hashes written in them, after C2SP signed-note and tlog-checkpoint."""

import re
from base64 import b64decode, b64encode
from binascii import Error as Base64Error
from dataclasses import dataclass
from hashlib import sha256
from typing import Final

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

from engines.errors import DomainError

ED25519: Final = b"\x01"  # the kind of signature
ID_BYTES: Final = 4
KEY_BYTES: Final = 32
ROOT_BYTES: Final = 32
SIGNATURES_AT_MOST: Final = 100

_NAME = re.compile(r"[^\s+]+")
_CONTROL = re.compile(r"[\x00-\x09\x0b-\x1f]")
_SIGNATURE = re.compile(r"— ([^\s+]+) ([A-Za-z0-9+/]+={0,2})")
_SIZE = re.compile(r"0|[1-9][0-9]*", re.ASCII)


class NoteError(DomainError):
    """A note that is malformed, or whose signature does not hold."""

    code = "note_invalid"


@dataclass(frozen=True)
class CheckpointFacts:
    """What a checkpoint says: whose tree it is, how many leaves it had, and its root."""

    origin: str
    size: int
    root: bytes


def key_id(name: str, public_key: bytes) -> bytes:
    """Return the four bytes by which a signature says which key it is of.

    Parameters
    ----------
    name : str
        The key's name, without blanks and plus signs.
    public_key : bytes
        Ed25519, 32 bytes.

    Returns
    -------
    bytes
        The first four of a SHA-256 over name, kind and key.

    Raises
    ------
    ValueError
        For a name or key that cannot be one.

    References
    ----------
    C2SP, signed-note, "Signatures".
    """
    if not _NAME.fullmatch(name) or len(public_key) != KEY_BYTES:
        raise ValueError(f"a key has a name without blanks and plus signs, and {KEY_BYTES} bytes: {name!r}")
    return sha256(name.encode() + b"\n" + ED25519 + public_key).digest()[:ID_BYTES]


def vkey_encode(name: str, public_key: bytes) -> str:
    """Return a public key as one word, to be kept by whoever checks notes.

    Parameters
    ----------
    name : str
        The key's name.
    public_key : bytes
        Ed25519, 32 bytes.

    Returns
    -------
    str
        Name, key identifier in hexadecimal and key in base 64, joined by plus signs.
    """
    return f"{name}+{key_id(name, public_key).hex()}+{b64encode(ED25519 + public_key).decode()}"


def vkey_decode(vkey: str) -> tuple[str, bytes]:
    """Return the name and the public key that a word holds.

    Parameters
    ----------
    vkey : str
        As ``vkey_encode`` writes it.

    Returns
    -------
    str, bytes
        Name, and the key's 32 bytes.

    Raises
    ------
    NoteError
        For anything else, another kind of key, or an identifier that is not the key's.
    """
    name, _, rest = vkey.strip().partition("+")
    identifier, _, text = rest.partition("+")
    key = _base64(text)
    if key[:1] != ED25519 or len(key) != KEY_BYTES + 1 or not _NAME.fullmatch(name):
        raise NoteError("This is no Ed25519 key of a ledger.")
    if key_id(name, key[1:]).hex() != identifier:
        raise NoteError("The key was miswritten: its identifier is of another key.")
    return name, key[1:]


def note_sign(text: str, *, name: str, key: Ed25519PrivateKey) -> str:
    """Return a text with a signature.

    Parameters
    ----------
    text : str
        Ends with a line feed.
    name : str
        The key's name.
    key : Ed25519PrivateKey
        The private key.

    Returns
    -------
    str
        The text, an empty line, and the line of the signature.

    Raises
    ------
    ValueError
        For a text that does not end with a line feed or holds another control character.

    References
    ----------
    C2SP, signed-note.
    """
    if not text.endswith("\n") or _CONTROL.search(text):
        raise ValueError("the text of a note ends with a line feed and holds no other control character")
    identifier = key_id(name, key.public_key().public_bytes_raw())
    return f"{text}\n— {name} {b64encode(identifier + key.sign(text.encode())).decode()}\n"


def note_open(note: str, *, name: str, public_key: bytes) -> str:
    """Return the text of a note, if it is signed by a key.

    Parameters
    ----------
    note : str
        Text and signatures.
    name : str
        The key's name.
    public_key : bytes
        Ed25519, 32 bytes.

    Returns
    -------
    str
        The text, with the line feed at its end.

    Raises
    ------
    NoteError
        For a malformed note, one that the key did not sign, and a signature that does not hold. Signatures by other
        keys are passed over.

    References
    ----------
    C2SP, signed-note.
    """
    text, lines = _parted(note)
    identifier = key_id(name, public_key)
    own = [data[ID_BYTES:] for by, data in lines if (by, data[:ID_BYTES]) == (name, identifier)]
    if not own:
        raise NoteError(f"The note is not signed by the key of {name}.")
    for signature in own:
        try:
            Ed25519PublicKey.from_public_bytes(public_key).verify(signature, text.encode())
        except InvalidSignature as error:
            raise NoteError(f"The signature by the key of {name} does not hold.") from error
    return text


def checkpoint_text(origin: str, size: int, root: bytes) -> str:
    """Return the text of a checkpoint.

    Parameters
    ----------
    origin : str
        Whose tree it is, one line.
    size : int
        Number of leaves.
    root : bytes
        32 bytes.

    Returns
    -------
    str
        Three lines: origin, size, root in base 64.

    References
    ----------
    C2SP, tlog-checkpoint.
    """
    return f"{origin}\n{size}\n{b64encode(root).decode()}\n"


def checkpoint_read(text: str) -> CheckpointFacts:
    """Return what the text of a checkpoint says.

    Parameters
    ----------
    text : str
        At least three lines; those beyond are passed over.

    Returns
    -------
    CheckpointFacts
        Origin, size and root.

    Raises
    ------
    NoteError
        For a text that is no checkpoint.

    References
    ----------
    C2SP, tlog-checkpoint.
    """
    origin, size, root, *_ = [*text.split("\n"), "", "", ""]
    digest = _base64(root)
    if not origin or not _SIZE.fullmatch(size) or len(digest) != ROOT_BYTES:
        raise NoteError("The note is no checkpoint: origin, size and root are its first three lines.")
    return CheckpointFacts(origin, int(size), digest)


def _parted(note: str) -> tuple[str, list[tuple[str, bytes]]]:
    """Return the text of a note, and the name and bytes of each signature under it."""
    text, gap, signatures = note.rpartition("\n\n")
    lines = signatures.split("\n")
    matches = [_SIGNATURE.fullmatch(line) for line in lines[:-1]]
    if not gap or lines[-1] or not 0 < len(matches) <= SIGNATURES_AT_MOST or _CONTROL.search(note):
        raise NoteError("The note is not whole: a text, an empty line, and signatures under it.")
    found = [(match[1], _base64(match[2])) for match in matches if match]
    if len(found) < len(matches):
        raise NoteError("A line under the note is no signature.")
    return text + "\n", found


def _base64(text: str) -> bytes:
    """Return what a text in base 64 stands for; no bytes if it is not written in the one way there is."""
    try:
        data = b64decode(text, validate=True)
    except (Base64Error, ValueError):
        return b""
    return data if b64encode(data).decode() == text else b""
