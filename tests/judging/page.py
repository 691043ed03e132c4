"""A page of a real browser that has nothing but the site's scripts."""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from threading import Thread
from typing import Any

from playwright.sync_api import Page

from tests.harness.waits import answer
from tests.layers import ROOT

LONGEST_S = 600.0  # thousands of cases are put to a page at once
SCRIPTS = ROOT / "logbook" / "static" / "logbook" / "js"


class _Quiet(SimpleHTTPRequestHandler):
    """Serves files and says nothing."""

    extensions_map = {".js": "text/javascript", "": "text/html"}

    def log_message(self, format: str, *args: object) -> None:
        """Say nothing."""


@contextmanager
def scripts_served() -> Iterator[str]:
    """Serve the site's scripts on a free port, and yield their address."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(_Quiet, directory=SCRIPTS))
    Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
        server.server_close()


def told(page: Page, function: str, what: Any) -> Any:
    """Return what a function of the page makes of some plain data."""
    asked = f"async (text) => JSON.stringify(await ({function})(JSON.parse(text)))"
    return json.loads(answer(page, asked, json.dumps(what), within_s=LONGEST_S))
