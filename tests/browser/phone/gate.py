"""The way between phone and server, which can really be cut: refused connections, refusals, lost replies."""

import contextlib
import http.client
import threading
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from urllib.parse import urlsplit

OUTBOX = "/api/v1/outbox/"
HOP = {"connection", "keep-alive", "transfer-encoding", "content-length", "date", "server"}
PATIENCE_S = 60.0
PROBLEM = "application/problem+json"


class Gate:
    """A server in front of the real one, on a port of its own; ``sent`` counts what was posted to the outbox."""

    def __init__(self, behind: str) -> None:
        self.behind = urlsplit(behind).netloc
        self.refused: dict[str, tuple[int, str]] = {}
        self.always: tuple[int, str] | None = None
        self.loses_replies = False
        self.broken: set[str] = set()
        # Cleared, every request is taken in and left without an answer, as a dead access point does.
        self.answers = threading.Event()
        self.answers.set()
        self.sent = 0
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

    def lets(self, server: object) -> bool:
        """Return whether what listens is what was opened last, and is open."""
        return server is self._server

    def close(self) -> None:
        """Refuse every connection, as a server that is stopped does."""
        self.answers.set()
        closed, self._server = self._server, None
        if closed is not None:
            closed.shutdown()
            closed.server_close()


class _Handler(BaseHTTPRequestHandler):
    """Hands one request on, or fails in the way that the gate is told to."""

    gate: Gate
    timeout = PATIENCE_S

    def handle_any(self) -> None:
        """Hand a request on and its reply back, if the phone still waits for it and the gate was not closed since.

        A browser opens connections ahead, which stay when the gate is closed.
        """
        if not self.gate.lets(self.server):
            self.close_connection = True
            return
        with contextlib.suppress(ConnectionError):
            self._handled()

    def _handled(self) -> None:
        body = self.rfile.read(int(self.headers.get("Content-Length") or 0))
        self.gate.answers.wait(PATIENCE_S)
        is_item = self.command == "POST" and (self.path == OUTBOX or self.path.endswith("/trace/"))
        refusal = (500, "") if self.path in self.gate.broken else self._refusal(body) if is_item else None
        if refusal is not None:
            return self._reply(refusal[0], [("Content-Type", PROBLEM)], refusal[1].encode())
        reply, content = self._answer(body)
        if is_item and self.gate.loses_replies:
            return self._half_reply(reply.status)
        return self._reply(reply.status, reply.getheaders(), content)

    def _answer(self, body: bytes) -> tuple[http.client.HTTPResponse, bytes]:
        connection = http.client.HTTPConnection(self.gate.behind, timeout=PATIENCE_S / 2)
        with contextlib.closing(connection):
            connection.request(self.command, self.path, body or None, dict(self.headers.items()))
            reply = connection.getresponse()
            return reply, reply.read()

    def _half_reply(self, status: int) -> None:
        """Begin a reply and break off, as a link that goes down does."""
        self.send_response_only(status)
        self.send_header("Content-Length", "500")
        self.end_headers()
        self.close_connection = True

    def _refusal(self, body: bytes) -> tuple[int, str] | None:
        self.gate.sent += 1
        named = next((number for number in self.gate.refused if number.encode() in body), None)
        return self.gate.always if named is None else self.gate.refused[named]

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
