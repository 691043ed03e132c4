"""The short code of an entry, to be typed: the first 80 bits of its hash in Crockford's base 32."""

import re
from typing import Final

DIGITS: Final = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
LENGTH: Final = 16  # characters, of 5 bits each
HEX_LENGTH: Final = 20  # hexadecimal digits of the same 80 bits
GROUP: Final = 4
# Letters that are read as digits, because a person cannot tell them apart.
LIKE: Final = str.maketrans("OIL", "011")


def code_of(leaf_hash: str) -> str:
    """Return the code of an entry.

    Parameters
    ----------
    leaf_hash : str
        The entry's hash, in hexadecimal; at least 20 digits.

    Returns
    -------
    str
        Sixteen characters in groups of four, with hyphens between.

    Raises
    ------
    ValueError
        If the hash is too short or holds anything else than hexadecimal digits.

    References
    ----------
    Douglas Crockford, Base 32: ten digits and the letters but I, L, O and U.
    """
    if not re.fullmatch(r"[0-9a-fA-F]{20,}", leaf_hash):
        raise ValueError(f"A hash has {HEX_LENGTH} hexadecimal digits or more, not {leaf_hash!r}.")
    number = int(leaf_hash[:HEX_LENGTH], 16)
    digits = "".join(DIGITS[number >> 5 * place & 31] for place in reversed(range(LENGTH)))
    return "-".join(digits[first : first + GROUP] for first in range(0, LENGTH, GROUP))


def code_read(text: str) -> str:
    """Return what a typed code says of the hash.

    Parameters
    ----------
    text : str
        The code as somebody typed it: small letters or capitals, with hyphens, spaces or neither, and O for 0, I or L
        for 1.

    Returns
    -------
    str
        The first 20 hexadecimal digits of the hash, in small letters.

    Raises
    ------
    ValueError
        If it has not sixteen characters, or one that no code has.
    """
    digits = re.sub(r"[\s-]", "", text).upper().translate(LIKE)
    if len(digits) != LENGTH or set(digits) - set(DIGITS):
        raise ValueError(f"A code has {LENGTH} letters and digits, none of them U; {text!r} is none.")
    number = 0
    for digit in digits:
        number = number << 5 | DIGITS.index(digit)
    return f"{number:0{HEX_LENGTH}x}"
