"""What is too long for every day: ``python -m tests.soak [entries] [seed]``, ``python -m tests.soak killed [rounds]``.

The first sends so many entries, every fourth with a photo, through every fault; 1,000 unless told. The second kills the
browser so many times at the moment at which it says that an entry is kept; 50 unless told.
"""

import os
import sys

import pytest

from tests.layers import ROOT

TESTS = ROOT / "tests" / "browser" / "phone"
# What one test may take at most is meant for a day's work.
HOW = ["-q", "-p", "no:randomly", "-o", "faulthandler_timeout=0", "-rA", "--durations=1"]


def main(arguments: list[str]) -> int:
    """Run the one test or the other, and return its exit code."""
    if arguments[:1] == ["killed"]:
        os.environ["KILLED_ROUNDS"] = (arguments[1:] or ["50"])[0]
        return int(pytest.main([str(TESTS / "test_killed.py"), *HOW]))
    names = ("SOAK_ENTRIES", "SOAK_SEED")
    os.environ.update(dict(zip(names, arguments or ["1000"], strict=False)))
    return int(pytest.main([str(TESTS / "test_soak.py"), *HOW]))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
