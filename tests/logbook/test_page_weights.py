"""What a page weighs when it is opened first, packed: markup, style and script of every screen, its lists full."""

import gzip
import re
from functools import cache
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders

from tests.stage import Stage
from tests.stage_sizes import stage_of_pages
from tests.walk import opened, screens

# A walk over every address: what it passes, the tests of its own must cover.
pytestmark = [pytest.mark.no_cover, pytest.mark.one_database]

MOST_HTML, MOST_CSS, MOST_JS = 30_000, 20_000, 60_000  # bytes
LINKED = {"css": r'<link rel="stylesheet" href="/static/([^"?]+)', "js": r'<script[^>]* src="/static/([^"?]+)'}


@pytest.fixture
def stage(db: None) -> Stage:
    """Return the stage with lists of more than one page."""
    return stage_of_pages()


def packed(content: bytes) -> int:
    """Return the size of something as it travels."""
    return len(gzip.compress(content))


@cache
def found(name: str) -> str | None:
    """Return the path of a static file."""
    path: str | None = finders.find(name)
    return path


@cache
def weighed(path: Path) -> tuple[int, list[str]]:
    """Return the size of a file as it travels, and the names of what it imports."""
    content = path.read_bytes()
    return packed(content), re.findall(r'\bimport\b[^;]*?"(\./[^"]+)"', content.decode())


def loaded(page: str, kind: str) -> int:
    """Return what the files of a kind that a page names weigh together, and all that they load in turn."""
    waiting, seen, weight = re.findall(LINKED[kind], page), set[Path](), 0
    while waiting:
        path = Path(found(waiting.pop()) or "")
        if path in seen:
            continue
        seen.add(path)
        own, inner = weighed(path)
        weight += own
        waiting += [f"logbook/js/{name}" for name in inner] if kind == "js" and path.parent.name == "js" else []
    return weight


def test_what_a_page_loads_first_stays_small(stage: Stage) -> None:
    heavy = {}
    for name in screens():
        for visit in opened(stage, name):
            content = visit.answer.content if visit.answer is not None else b""
            page = content.decode()
            weights = (packed(content), loaded(page, "css"), loaded(page, "js"))
            over = any(weight > most for weight, most in zip(weights, (MOST_HTML, MOST_CSS, MOST_JS), strict=True))
            if over or (0 in weights):
                heavy[name, visit.role] = weights
    assert heavy == {}
