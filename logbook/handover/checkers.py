"""The two verifiers that lie in every package: one file of Python, and one page for a browser."""

from pathlib import Path
from typing import Final

from logbook.ledger import check_package

HERE: Final = Path(check_package.__file__).parent
PAGE: Final = HERE / "check_package.html"
SCRIPTS: Final = ("archive", "hashes", "signatures", "ledger", "checking", "page")
MARK: Final = "/* scripts */"


def check_script() -> bytes:
    """Return check.py."""
    return Path(check_package.__file__).read_bytes()


def check_page() -> bytes:
    """Return check.html: the page with its scripts in it, so that it is one file which asks for nothing."""
    scripts = "\n".join((HERE / "check_page" / f"{name}.js").read_text(encoding="utf8") for name in SCRIPTS)
    return PAGE.read_text(encoding="utf8").replace(MARK, scripts).encode()
