"""No file in the repository carries what must not leave a workshop: paths of one machine, hosts, unfinished marks."""

import re
import subprocess
from pathlib import Path

import pytest

from tests.layers import ROOT

# What is written is read here and nothing run that coverage would count.
pytestmark = pytest.mark.no_cover
# A letter in brackets keeps each pattern from finding itself here.
FORBIDDEN = {
    "a path of one machine": r"/([w]ork|[r]oot|[h]ome/[a-z]+|[U]sers/[A-Za-z]+)/",
    "a host of a package registry": r"[p]ypi\.|[p]ythonhosted\.|[n]pmjs\.|deb\.[d]ebian\.|[p]roxy\.golang\.",
    "an unfinished mark": r"\b([T]ODO|[F]IXME|[X]XX)\b",
    "an unfinished part": r"[N]otImplementedError|not implemented [y]et|coming [s]oon",
    "a test that cannot fail": r"mark\.([s]kip|[x]fail)\b|assert [T]rue\b",
}
LARGEST = 1_000_000


def tracked() -> list[Path]:
    """Return the files of the repository, or of the folder when it is no clone; other people's files left out."""
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    names = listed.stdout.splitlines() if listed.returncode == 0 else []
    return [ROOT / name for name in names if "/vendor/" not in name and (ROOT / name).is_file()]


def findings(text: str) -> list[str]:
    """Return what a text carries that it must not, with the line it stands on."""
    lines = enumerate(text.splitlines(), start=1)
    return [f"line {n}: {what}" for n, line in lines for what, p in FORBIDDEN.items() if re.search(p, line)]


@pytest.mark.parametrize(
    ("pieces", "what"),
    [
        (("open('/ho", "me/ann/x')"), "a path of one machine"),
        (("cd /wo", "rk/here"), "a path of one machine"),
        (("see https://py", "pi.org/"), "a host of a package registry"),
        (("# TO", "DO later"), "an unfinished mark"),
        (("raise Not", "ImplementedError"), "an unfinished part"),
        (("@pytest.mark.", "skip"), "a test that cannot fail"),
    ],
)
def test_each_pattern_finds_its_own(pieces: tuple[str, ...], what: str) -> None:
    assert findings(f"first\n{''.join(pieces)}\n") == [f"line 2: {what}"]


def test_files_carry_nothing_they_must_not() -> None:
    found: dict[str, list[str]] = {}
    for path in tracked():
        try:
            text = path.read_text(encoding="utf8")
        except UnicodeDecodeError:
            continue
        if lines := findings(text):
            found[str(path.relative_to(ROOT))] = lines
    assert found == {}


def test_no_file_is_too_large_to_read() -> None:
    assert [str(path.relative_to(ROOT)) for path in tracked() if path.stat().st_size > LARGEST] == []
