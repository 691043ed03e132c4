"""The soak: ``python -m tests.soak [entries] [seed]`` sends so many entries through every fault; 1,000 unless told."""

import os
import sys

import pytest

from tests.layers import ROOT


def main(arguments: list[str]) -> int:
    """Run the soak test with so many entries, and return its exit code."""
    names = ("SOAK_ENTRIES", "SOAK_SEED")
    os.environ.update(dict(zip(names, arguments or ["1000"], strict=False)))
    return int(pytest.main([str(ROOT / "tests" / "browser" / "phone" / "test_soak.py"), "-q", "-p", "no:randomly"]))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
