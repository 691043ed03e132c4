"""Style and script: light enough for a phone, readable in glare, and one thing to a file."""

import gzip
import re
from itertools import product
from pathlib import Path

import pytest

from tests.layers import ROOT

STATIC = ROOT / "logbook" / "static" / "logbook"
STYLES, SCRIPTS = sorted((STATIC / "css").glob("*.css")), sorted((STATIC / "js").glob("*.js"))
WIRING = {"app.js", "hold.js"}  # they are loaded by the page, and nobody asks for anything in them
LIGHT, DARK = 7.0, 7.5  # least contrast of text on its ground
EDGE = 4.5  # of the edges of controls
MOST_CSS, MOST_OWN_JS = 20_000, 40_000  # bytes, packed; with htmx, of 17,000, a first load stays within 60,000


def tokens(block: str) -> dict[str, str]:
    """Return the colours of a block of the stylesheet by name."""
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", block))


def themes() -> dict[str, dict[str, str]]:
    """Return the colours of both themes, the dark one as the device and as a person chooses it."""
    text = (STATIC / "css" / "embermark.css").read_text(encoding="utf8")
    light, device, chosen = (tokens(block) for block in re.findall(r":root[^{]*\{([^}]*)\}", text))
    return {"light": light, "dark, the device's": device, "dark, a person's": chosen}


def luminance(colour: str) -> float:
    """Return the relative luminance of a colour (WCAG 2.2)."""
    parts = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Return the contrast of two colours (WCAG 2.2)."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize(("one", "other", "ratio"), [("#000000", "#ffffff", 21.0), ("#777777", "#ffffff", 4.48)])
def test_contrast_is_reckoned_as_the_guidelines_do(one: str, other: str, ratio: float) -> None:
    assert contrast(one, other) == pytest.approx(ratio, abs=0.01)


@pytest.mark.parametrize(("name", "theme"), themes().items())
def test_text_is_readable_in_glare_and_at_night(name: str, theme: dict[str, str]) -> None:
    least = LIGHT if name == "light" else DARK
    pairs = [*product(("ink", "quiet", "ember"), ("paper", "panel")), ("paper", "ink"), ("on-ember", "ember")]
    faint = {pair: contrast(theme[pair[0]], theme[pair[1]]) for pair in pairs}
    assert {pair: ratio for pair, ratio in faint.items() if ratio < least} == {}
    assert min(contrast(theme["edge"], theme[ground]) for ground in ("paper", "panel")) >= EDGE


def test_no_colour_is_used_that_is_not_measured() -> None:
    text = "\n".join(path.read_text(encoding="utf8") for path in STYLES)
    inks = set(re.findall(r"(?<![\w-])color: ([^;]+);", text))
    grounds = set(re.findall(r"(?<![\w-])background(?:-color)?: ([^;]+);", text))
    assert inks <= {f"var(--{name})" for name in ("ink", "quiet", "ember", "paper", "on-ember")} | {"inherit"}
    assert grounds <= {f"var(--{name})" for name in ("paper", "panel", "ink", "ember")} | {"none"}


def test_both_ways_to_the_dark_theme_are_one_theme() -> None:
    _, device, chosen = themes().values()
    assert device == chosen


@pytest.mark.parametrize(("files", "most"), [(STYLES, MOST_CSS), (SCRIPTS, MOST_OWN_JS)])
def test_what_a_phone_loads_first_stays_small(files: list[Path], most: int) -> None:
    assert 0 < sum(len(gzip.compress(path.read_bytes())) for path in files) <= most


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: path.name)
def test_a_script_does_one_thing(path: Path) -> None:
    text = path.read_text(encoding="utf8")
    assert text.startswith("// ")
    assert text.count("\nexport ") == (0 if path.name in WIRING else 1)
    assert not re.search(r"\b(var|eval|innerHTML|document\.write)\b", text)


@pytest.mark.parametrize("path", STYLES, ids=lambda path: path.name)
def test_a_stylesheet_can_be_read_in_one_sitting(path: Path) -> None:
    text = path.read_text(encoding="utf8")
    assert text.count("\n") <= 400
    assert "@import" not in text
    assert "url(" not in text
