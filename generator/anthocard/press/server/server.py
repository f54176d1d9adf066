"""A small web server for one person at one machine: the preview's pages, on loopback only.

Belongs here: HTTP, the Host check, the stream of events. Does not belong here: what is shown
(desk.py). Nothing on the disk is ever served: only pages the desk holds in memory.

Each request is answered in a thread of its own, but every page is made in the one thread that calls
`work`, the main one: the libraries that set type are not made for threads, and only there can a
template be held to its time (limits.py).
"""

from __future__ import annotations

import mimetypes
import sys
import time
from collections.abc import Callable
from concurrent.futures import Future
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from queue import Empty, SimpleQueue
from threading import BoundedSemaphore, Condition
from typing import Any, Final
from urllib.parse import parse_qs, unquote, urlsplit

from anthocard.press.paper.job import HERE
from anthocard.press.server.desk import EVENTS, FOLLOW, PANEL, SCRIPT, STYLE, Desk, bare, dressed

HOST: Final = "127.0.0.1"
NAMES: Final = frozenset({"127.0.0.1", "localhost", "[::1]"})
MOST_CONNECTIONS: Final = 64  # chosen: more than any browser opens to one host
PATIENCE_S: Final = 30.0  # chosen: how long a request may take to be sent, or an answer to be read
HEARTBEAT_S: Final = 10.0  # chosen: how long a closed browser tab may go unnoticed


class Server(ThreadingHTTPServer):
    """Serves a desk at 127.0.0.1; `port` 0 takes any free one. Raises OSError when it is taken."""

    daemon_threads = True
    allow_reuse_address = True

    def __init__(self, desk: Desk, port: int) -> None:
        """Binds at once; serve_forever() answers."""
        super().__init__((HOST, port), _Answer)
        self.desk = desk
        self.turned = Condition()
        self._places = BoundedSemaphore(MOST_CONNECTIONS)
        self._asked: SimpleQueue[tuple[Callable[[], bytes], Future[bytes]]] = SimpleQueue()

    @property
    def address(self) -> str:
        """Where a browser finds it."""
        return f"http://{HOST}:{self.server_address[1]}/"

    def process_request(self, request: Any, client_address: Any) -> None:
        """Answer in a thread of its own; one connection too many is closed unanswered."""
        if not self._places.acquire(blocking=False):
            self.shutdown_request(request)
            return
        super().process_request(request, client_address)

    def process_request_thread(self, request: Any, client_address: Any) -> None:
        """One request; its place is free again however it ends."""
        try:
            super().process_request_thread(request, client_address)
        finally:
            self._places.release()

    def handle_error(self, request: Any, client_address: Any) -> None:
        """A browser that went away ends its own request and is nobody's news."""
        if not isinstance(sys.exception(), OSError):
            super().handle_error(request, client_address)

    def made(self, make: Callable[[], bytes]) -> bytes:
        """What `make` makes, made by the thread that works; raises what it raises."""
        page: Future[bytes] = Future()
        self._asked.put((make, page))
        return page.result()

    def work(self, seconds: float) -> None:
        """Make the pages that are asked for within so many seconds, one after another."""
        end = time.monotonic() + seconds
        while (left := end - time.monotonic()) > 0.0:
            try:
                make, page = self._asked.get(timeout=left)
            except Empty:
                return
            try:
                page.set_result(make())
            except Exception as error:  # whoever asked tells it
                page.set_exception(error)

    def announce(self) -> None:
        """Tell every open page that there is something new to show."""
        with self.turned:
            self.turned.notify_all()


class _Answer(BaseHTTPRequestHandler):
    server: Server
    timeout = PATIENCE_S

    def do_GET(self) -> None:
        if not self._at_home():
            return
        parts = urlsplit(self.path)
        path = unquote(parts.path)
        fixed = {FOLLOW: ("text/javascript", SCRIPT), PANEL: ("text/css", STYLE)}
        if path == EVENTS:
            self._stream(parse_qs(parts.query).get("since", ["0"])[0])
        elif path in fixed:
            kind, text = fixed[path]
            self._send(HTTPStatus.OK, kind, text.encode())
        elif path == "/":
            self._move(f"/{self.server.desk.showing.where}")
        elif path in ("/guest", "/guest/", "/staff", "/staff/"):
            self._move(f"/{path.strip('/')}/index.html")
        else:
            self._page(path.removeprefix("/"))

    do_HEAD = do_GET  # noqa: N815 - the name the library looks for

    def log_message(self, format: str, *args: object) -> None:
        """Silence: the command tells of saves, not of requests."""

    def _at_home(self) -> bool:
        """Refuse a request that a foreign page got here by pointing its own name at loopback."""
        host = self.headers.get("Host", "").lower()
        name, _, port = host.rpartition(":") if not host.endswith("]") else (host, "", "80")
        from_here = self.headers.get("Origin", f"http://{host}").lower() == f"http://{host}"
        if name in NAMES and port == str(self.server.server_address[1]) and from_here:
            return True
        self._send(HTTPStatus.MISDIRECTED_REQUEST, "text/plain", b"This preview is for loopback.\n")
        return False

    def _page(self, path: str) -> None:
        from anthocard.diagnostics.diagnostic import AuthorError

        showing = self.server.desk.showing
        kind = mimetypes.guess_type(path)[0] or "application/octet-stream"
        target = showing.pages.get(path)
        if target is None:
            said = f"There is no page {path}." if showing.pages else "There is nothing to show yet."
            code = HTTPStatus.NOT_FOUND if showing.pages else HTTPStatus.OK
            self._send(code, "text/html", bare(showing, said).encode())
            return
        try:
            body = self.server.made(lambda: HERE.now(HERE.get(target)))
        except OSError as error:  # a file that went away meanwhile: the next look tells of it
            self._send(HTTPStatus.SERVICE_UNAVAILABLE, "text/plain", f"{error}\n".encode())
            return
        except AuthorError as error:
            self._send(HTTPStatus.INTERNAL_SERVER_ERROR, "text/plain", f"{error}\n".encode())
            return
        except Exception as error:
            if not hasattr(error, "exit_code"):
                raise
            self._send(HTTPStatus.SERVICE_UNAVAILABLE, "text/plain", f"{error}\n".encode())
            return
        if kind == "text/html":
            body = dressed(body.decode(), showing).encode()
        self._send(HTTPStatus.OK, kind, body)

    def _stream(self, since: str) -> None:
        """Server-sent events: one as soon as what is shown is newer than `since`."""
        desk, known = self.server.desk, int(since) if since.isdecimal() else 0
        self.send_response(HTTPStatus.OK)
        self.send_header("Content-Type", "text/event-stream")
        self.send_header("Cache-Control", "no-store")
        self.end_headers()
        try:
            while True:
                with self.server.turned:
                    if desk.showing.number <= known:
                        self.server.turned.wait(HEARTBEAT_S)
                number = desk.showing.number
                line = f"data: {number}\n\n" if number > known else ":\n\n"
                known = max(known, number)
                self.wfile.write(line.encode())
                self.wfile.flush()
        except OSError:
            return  # the page was closed

    def _move(self, to: str) -> None:
        self.send_response(HTTPStatus.FOUND)
        self.send_header("Location", to)
        self.send_header("Content-Length", "0")
        self.end_headers()

    def _send(self, code: HTTPStatus, kind: str, body: bytes) -> None:
        charset = "; charset=utf-8" if kind.startswith("text/") else ""
        self.send_response(code)
        self.send_header("Content-Type", kind + charset)
        self.send_header("Content-Length", str(len(body)))
        self.send_header("Cache-Control", "no-store")
        self.send_header("X-Content-Type-Options", "nosniff")
        self.send_header("Cross-Origin-Resource-Policy", "same-origin")
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(body)
