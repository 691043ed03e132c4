"""What a page weighs when it is opened first, packed: markup, style and script of every screen, its lists full."""

import gzip
import re
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders

from tests.stage import Stage
from tests.stage_sizes import stage_of_pages
from tests.walk import screens, visits

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


def loaded(page: str, kind: str) -> int:
    """Return what the files of a kind that a page names weigh together, and all that they load in turn."""
    waiting, seen, weight = re.findall(LINKED[kind], page), set[Path](), 0
    while waiting:
        path = Path(finders.find(waiting.pop()) or "")
        if path in seen:
            continue
        seen.add(path)
        weight += packed(path.read_bytes())
        inner = re.findall(r'\bimport\b[^;]*?"(\./[^"]+)"', path.read_text(encoding="utf8"))
        waiting += [f"logbook/js/{name}" for name in inner] if kind == "js" and path.parent.name == "js" else []
    return weight


def test_what_a_page_loads_first_stays_small(stage: Stage) -> None:
    heavy = {}
    for name in screens():
        for role, client, address in visits(stage, name):
            content = client.get(address).content if client is not None else b""
            page = content.decode()
            weights = (packed(content), loaded(page, "css"), loaded(page, "js"))
            over = any(weight > most for weight, most in zip(weights, (MOST_HTML, MOST_CSS, MOST_JS), strict=True))
            if over or (0 in weights):
                heavy[name, role] = weights
    assert heavy == {}
