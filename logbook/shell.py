"""The phone's program: the files that work without signal, all of one build, and the version that names them."""

import gzip
import hashlib
from functools import lru_cache
from pathlib import Path
from typing import Final

from django.conf import settings
from django.template.loader import render_to_string
from django.templatetags.static import static

FOLDER: Final = Path(__file__).resolve().parent / "static" / "logbook"
WORKER: Final = Path(__file__).resolve().parent / "outbox" / "worker.js"
SHELL: Final = "/offline/"


def shell_files() -> list[str]:
    """Return the names of the files of the phone's program, as the static files know them."""
    own = [path for kind in ("css/*.css", "js/**/*.js") for path in sorted(FOLDER.glob(kind))]
    icons = [FOLDER / "icon.svg", *sorted(FOLDER.glob("icons/*.png"))]
    return [f"logbook/{path.relative_to(FOLDER).as_posix()}" for path in (*own, *icons)]


def shell_page() -> str:
    """Return the page that stands in for one that cannot be reached; it is nobody's, and the same for all."""
    return render_to_string("logbook/offline.html", {"is_shell": True})


def shell_addresses() -> list[str]:
    """Return the addresses that the worker keeps: the page without a record, and every file it loads."""
    return [SHELL, *(static(name) for name in shell_files())]


def shell_version() -> str:
    """Return by what one build of the program is told from another; while debugging it is looked at anew each time."""
    return _version_now() if settings.DEBUG else _version()


@lru_cache(maxsize=1)
def _version() -> str:
    return _version_now()


def _version_now() -> str:
    digest = hashlib.sha256(WORKER.read_bytes())
    for name in shell_files():
        digest.update(name.encode() + b"\0" + (FOLDER.parent / name).read_bytes())
    digest.update(shell_page().encode())
    return digest.hexdigest()[:16]


def shell_weight() -> int:
    """Return what the whole of it weighs, packed. [bytes]"""
    files = [FOLDER.parent / name for name in shell_files()]
    contents = [shell_page().encode(), *(path.read_bytes() for path in (WORKER, *files))]
    return sum(len(gzip.compress(content)) for content in contents)
