"""The signature stays with at least three lines of what it signs."""

import re

import pytest
from reportlab.platypus import Spacer

from logbook.printing.blocks import pairs, paragraph
from logbook.printing.paper import PAPERS
from logbook.printing.running import Chapter
from logbook.printing.sets import document
from logbook.printing.signing import kept
from tests.logbook.printing.reading import pages_of
from tests.logbook.printing.running_lines import running


def text(lines: int, name: str = "line") -> str:
    return "\n".join(f"{name}{k}." for k in range(1, lines + 1))


@pytest.mark.parametrize("left", [0, 300, 440, 470, 500, 530])
@pytest.mark.parametrize("texts", [[30], [5], [6], [1, 1, 1], [2, 8], [9, 1], [70]], ids=str)
def test_three_lines_stand_above_the_signature(left: int, texts: list[int]) -> None:
    """Paper R3: the signature stays with three lines of what it signs."""
    signed = [paragraph(text(lines, f"line{k}-")) for k, lines in enumerate(texts)]
    story = kept("Signature", signed, pairs([("Signed by", "Test Person")] * 4))
    pages = pages_of(document([Chapter(running(), [Spacer(1, left), *story])], paper=PAPERS["a4"], title="t"))
    (page,) = [page for page in pages if "Signed by" in page]
    assert page.count("Signed by") == 4
    total = sum(texts)
    assert len(re.findall(r"line\d-\d+\.", page)) >= min(3, total)
    assert len(re.findall(r"line\d-\d+\.", " ".join(pages))) == total
    assert sum("Signature" in page for page in pages) == 1
