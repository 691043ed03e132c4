"""Tests named by their addresses, as ``tests/file.py::test_name``."""

import re

from tests.layers import ROOT


def absent(addresses: list[str]) -> list[str]:
    """Return those addresses at which there is no test."""
    return [address for address in addresses if not is_there(*address.split("::"))]


def is_there(file: str, name: str) -> bool:
    """Return whether a file has a test of that name."""
    path = ROOT / file
    return path.is_file() and bool(re.search(rf"^def {name}\(", path.read_text(encoding="utf8"), re.MULTILINE))
