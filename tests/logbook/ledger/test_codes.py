"""The short code of an entry: Crockford's base 32 of the first 80 bits, forgiving what a hand mistakes."""

import hashlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.ledger.codes import DIGITS, code_of, code_read

# SHA-256 of "abc", FIPS 180-4.
ABC = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


def test_the_alphabet_is_crockfords() -> None:
    assert DIGITS == "0123456789ABCDEFGHJKMNPQRSTVWXYZ"


@pytest.mark.parametrize(
    ("digest", "code"),
    [
        ("0" * 64, "0000-0000-0000-0000"),
        ("f" * 64, "ZZZZ-ZZZZ-ZZZZ-ZZZZ"),
        # By hand: 13, 14, 15 and 21 in 5 bits each, 01101 01110 01111 10101, are 6b9f5.
        ("08864298e84a96c6b9f5", "1234-5678-9ABC-DEFN"),
    ],
)
def test_a_code_is_the_first_eighty_bits(digest: str, code: str) -> None:
    assert code_of(digest) == code
    assert code_read(code) == digest[:20]


def test_a_code_says_the_beginning_of_a_published_hash() -> None:
    assert hashlib.sha256(b"abc").hexdigest() == ABC
    assert code_read(code_of(ABC)) == ABC[:20]


@given(st.binary(min_size=32, max_size=32))
def test_every_hash_is_read_back(digest: bytes) -> None:
    code = code_of(digest.hex())
    assert len(code) == 19
    assert code_read(code) == digest.hex()[:20]


@pytest.mark.parametrize(
    "typed",
    [
        "1o2l-3040-5O6I-70I1",
        "1021 3040 5061 7011",
        " 1021-3040\t5061-7011 ",
        "1O2L304050617O1i",
    ],
)
def test_what_a_hand_mistakes_is_forgiven(typed: str) -> None:
    assert code_read(typed) == code_read("1021-3040-5061-7011")


@pytest.mark.parametrize("typed", ["", "1234", "1234-5678-9ABC-DEFN0", "1234-5678-9ABC-DEFU", "1234-5678-9ABC-DEF*"])
def test_what_is_no_code_is_refused(typed: str) -> None:
    with pytest.raises(ValueError, match="A code has 16 letters and digits"):
        code_read(typed)


@pytest.mark.parametrize("digest", ["", "ab12", "g" * 64, "0x" + "0" * 62])
def test_what_is_no_hash_is_refused(digest: str) -> None:
    with pytest.raises(ValueError, match="hexadecimal digits or more"):
        code_of(digest)
