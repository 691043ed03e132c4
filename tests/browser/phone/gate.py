"""The way between phone and server, which can really be cut: refused connections, refusals, lost replies."""

import http.client
import threading
from collections.abc import Callable
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from urllib.parse import urlsplit

OUTBOX = "/api/v1/outbox/"
HOP = {"connection", "keep-alive", "transfer-encoding", "content-length", "date", "server"}
PROBLEM = "application/problem+json"


class Gate:
    """A server in front of the real one, on a port of its own; ``sent`` counts what was posted to the outbox."""

    def __init__(self, behind: str) -> None:
        self.behind = urlsplit(behind).netloc
        self.refusals: list[tuple[int, str]] = []
        self.always: tuple[int, str] | None = None
        self.lost_replies = 0
        self.sent = 0
        self.on_sent: Callable[[], None] = lambda: None
        self._server: ThreadingHTTPServer | None = None
        self.port = 0
        self.open()

    @property
    def url(self) -> str:
        """Return where the phone reaches it."""
        return f"http://127.0.0.1:{self.port}"

    def open(self) -> None:
        """Let connections in, on the same port as before."""
        handler = type("Handler", (_Handler,), {"gate": self})
        self._server = ThreadingHTTPServer(("127.0.0.1", self.port), handler)
        self._server.daemon_threads = True
        self.port = self._server.server_address[1]
        threading.Thread(target=self._server.serve_forever, kwargs={"poll_interval": 0.05}, daemon=True).start()

    def close(self) -> None:
        """Refuse every connection, as a server that is stopped does."""
        if self._server is not None:
            self._server.shutdown()
            self._server.server_close()
            self._server = None


class _Handler(BaseHTTPRequestHandler):
    """Hands one request on, or fails in the way that the gate is told to."""

    gate: Gate

    def handle_any(self) -> None:
        """Hand a request on and its reply back."""
        body = self.rfile.read(int(self.headers.get("Content-Length") or 0))
        is_item = self.command == "POST" and (self.path == OUTBOX or self.path.endswith("/trace/"))
        refusal = self._refusal() if is_item else None
        if refusal is not None:
            return self._reply(refusal[0], [("Content-Type", PROBLEM)], refusal[1].encode())
        connection = http.client.HTTPConnection(self.gate.behind, timeout=30)
        connection.request(self.command, self.path, body or None, dict(self.headers.items()))
        reply = connection.getresponse()
        content = reply.read()
        connection.close()
        if is_item and self.gate.lost_replies:
            self.gate.lost_replies -= 1
            self.close_connection = True
            return None
        return self._reply(reply.status, reply.getheaders(), content)

    def _refusal(self) -> tuple[int, str] | None:
        self.gate.sent += 1
        self.gate.on_sent()
        return self.gate.refusals.pop(0) if self.gate.refusals else self.gate.always

    def _reply(self, status: int, headers: list[tuple[str, str]], content: bytes) -> None:
        self.send_response_only(status)
        for name, value in headers:
            if name.lower() not in HOP:
                self.send_header(name, value)
        self.send_header("Content-Length", str(len(content)))
        self.send_header("Connection", "close")
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(content)

    do_GET = do_POST = do_HEAD = handle_any  # noqa: N815

    def log_message(self, *_: object) -> None:
        """Say nothing."""
