"""Signed notes and checkpoints, against published ones.

Sources: RFC 8032, section 7.1, tests 1 to 3; examples of C2SP signed-note and tlog-checkpoint; package documentation
of golang.org/x/mod/sumdb/note. One checkpoint is signed with the key of RFC 8032, test 1.
"""

from base64 import b64decode, b64encode

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.ledger import notes

SEED = bytes.fromhex("9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60")
PUBLIC = bytes.fromhex("d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a")

C2SP = (
    "example.com/foo+530d903a+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2k",
    "This is an example message.\n\n"
    "— example.com/foo Uw2QOkn8srV1yJGh2VYRlL1Tnagv1YEq6TfXppzi2ONncAlTgK7Ztg1ERYNZXsYjOBH3mFXmRKuwHjG1Yu72IneyaQM=\n",
)
GO = (
    "PeterNeumann+c74f20a3+ARpc2QcUPDhMQegwxbzhKqiBfsVkmqq/LDE4izWy10TW",
    "If you think cryptography is the answer to your problem,\nthen you don't know what your problem is.\n\n"
    "— PeterNeumann x08go/ZJkuBS9UG/SffcvIAQxVBtiFupLLr8pAcElZInNIuGUgYN1FFYC2pZSNXgKvqfqdngotpRZb6KE6RyyBwJnAM=\n",
)
GO_SEED = b64decode("AYEKFALVFGyNhPJEMzD1QIDr+Y7hfZx09iUvxdXHKDFz")[1:]
OWN = (
    "example.org/logbook+cc11be70+AddamAGCsQq31Uv+08lkBzoO4XLz2qYjJa8CGmj3B1Ea",
    "example.org/logbook\n8\nXcnaeacGWamtVZy3Ad7ZoqudgjqtL0lgz+Nw7/RgQyg=\n\n"
    "— example.org/logbook "
    "zBG+cO1di9BJMqjpcpirp7GshNOi7zBLZ0adSEddybnGfnUn6ngk8xLKnIVdoE4u7PTVx5axfmnOeryoCCAo8kymAAc=\n",
)
CHECKPOINT = "example.com/behind-the-sofa\n20852163\nCsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=\n"


@pytest.mark.parametrize(("vkey", "note"), [C2SP, GO, OWN])
def test_published_notes_open(vkey: str, note: str) -> None:
    name, public_key = notes.vkey_decode(vkey)
    text = notes.note_open(note, name=name, public_key=public_key)
    assert text == note.partition("\n\n")[0] + "\n"
    assert notes.vkey_encode(name, public_key) == vkey


@pytest.mark.parametrize(("seed", "vkey", "note"), [(GO_SEED, *GO), (SEED, *OWN)])
def test_published_notes_are_signed_byte_for_byte(seed: bytes, vkey: str, note: str) -> None:
    name, _ = notes.vkey_decode(vkey)
    text = note.partition("\n\n")[0] + "\n"
    assert notes.note_sign(text, name=name, key=Ed25519PrivateKey.from_private_bytes(seed)) == note


def test_the_key_is_the_published_one() -> None:
    assert Ed25519PrivateKey.from_private_bytes(SEED).public_key().public_bytes_raw() == PUBLIC
    assert notes.key_id("example.org/logbook", PUBLIC).hex() == "cc11be70"


def test_a_published_checkpoint_is_read_and_written() -> None:
    read = notes.checkpoint_read(CHECKPOINT)
    assert (read.origin, read.size) == ("example.com/behind-the-sofa", 20852163)
    assert read.root.hex() == "0ac5186a91863e8e1d90c808014aa89bf5da8e3ee1d9f07630f0378f68f1ab62"
    assert notes.checkpoint_text(read.origin, read.size, read.root) == CHECKPOINT
    assert notes.checkpoint_read(CHECKPOINT + "an extension\n") == read


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_a_changed_character_is_noticed(data: st.DataObject) -> None:
    vkey, note = OWN
    at = data.draw(st.integers(0, len(note) - 1))
    other = data.draw(st.sampled_from("aB3+/=\n —").filter(lambda one: one != note[at]))
    name, public_key = notes.vkey_decode(vkey)
    with pytest.raises(notes.NoteError):
        notes.note_open(note[:at] + other + note[at + 1 :], name=name, public_key=public_key)


def test_signatures_by_other_keys_are_passed_over() -> None:
    vkey, note = OWN
    _, other = GO
    name, public_key = notes.vkey_decode(vkey)
    signed_twice = note + other.partition("\n\n")[2]
    assert notes.note_open(signed_twice, name=name, public_key=public_key) == note.partition("\n\n")[0] + "\n"
    with pytest.raises(notes.NoteError, match="not signed by the key of elsewhere"):
        notes.note_open(note, name="elsewhere", public_key=public_key)


def test_a_changed_text_is_refused() -> None:
    name, public_key = notes.vkey_decode(OWN[0])
    with pytest.raises(notes.NoteError, match="does not hold"):
        notes.note_open(OWN[1].replace("\n8\n", "\n9\n"), name=name, public_key=public_key)


@pytest.mark.parametrize(
    "note",
    [
        "", "text\n", "text\n\n", "text\n\n— a b", OWN[1][:-1], OWN[1] + "\n", OWN[1] + "no signature\n",
        OWN[1].replace("8\n", "8\t\n"), OWN[1] + OWN[1].partition("\n\n")[2] * 100,
    ],
)  # fmt: skip
def test_a_malformed_note_is_refused(note: str) -> None:
    name, public_key = notes.vkey_decode(OWN[0])
    with pytest.raises(notes.NoteError, match="not whole|no signature"):
        notes.note_open(note, name=name, public_key=public_key)


@pytest.mark.parametrize(
    ("vkey", "words"),
    [
        ("", "no Ed25519 key"),
        ("name", "no Ed25519 key"),
        ("name+00000000+AA==", "no Ed25519 key"),
        ("name+00000000+A", "no Ed25519 key"),
        (OWN[0].replace("+Add", "+Bdd"), "no Ed25519 key"),
        (OWN[0][:-1] + "b", "no Ed25519 key|of another key"),
        ("+cc11be70+" + b64encode(b"\x01" + PUBLIC).decode(), "no Ed25519 key"),
        (OWN[0].replace("cc11be70", "cc11be71"), "of another key"),
    ],
)
def test_a_key_that_is_none_is_refused(vkey: str, words: str) -> None:
    with pytest.raises(notes.NoteError, match=words):
        notes.vkey_decode(vkey)


@pytest.mark.parametrize(
    "text", ["", "\n\n\n", "a\n08\n" + "A" * 43 + "=\n", "a\n-1\n" + "A" * 43 + "=\n", "a\n1\nAAAA\n", "a\n1\n&\n"]
)
def test_a_text_that_is_no_checkpoint_is_refused(text: str) -> None:
    with pytest.raises(notes.NoteError, match="no checkpoint"):
        notes.checkpoint_read(text)


@pytest.mark.parametrize("text", ["", "no end", "a\ttab\n"])
def test_a_text_that_cannot_be_signed_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="ends with a line feed"):
        notes.note_sign(text, name="a", key=Ed25519PrivateKey.from_private_bytes(SEED))


@pytest.mark.parametrize(("name", "key"), [("", PUBLIC), ("two words", PUBLIC), ("a+b", PUBLIC), ("a", PUBLIC[1:])])
def test_a_name_or_key_that_cannot_be_is_refused(name: str, key: bytes) -> None:
    with pytest.raises(ValueError, match="a key has a name"):
        notes.key_id(name, key)


@pytest.mark.parametrize(
    ("seed", "public", "message", "signature"),
    [
        (
            SEED.hex(), PUBLIC.hex(), "",
            "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe"
            "24655141438e7a100b",
        ),
        (
            "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
            "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c", "72",
            "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302a"
            "eeb00d291612bb0c00",
        ),
        (
            "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
            "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025", "af82",
            "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760984dc6594a7c15e9716ed2"
            "8dc027beceea1ec40a",
        ),
    ],
)  # fmt: skip
def test_the_library_signs_as_published(seed: str, public: str, message: str, signature: str) -> None:
    key = Ed25519PrivateKey.from_private_bytes(bytes.fromhex(seed))
    assert key.public_key().public_bytes_raw().hex() == public
    assert key.sign(bytes.fromhex(message)).hex() == signature
