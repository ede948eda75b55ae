"""Serves a built site on this machine alone.

    python -m site_overrides.setup.serve FOLDER [PORT]

The standard library's server, with three things added: the media types that a browser insists on for
WebAssembly and modules, a question to the server before any cached file is used again, and the site's own
page for an address that is not there.
"""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from http import HTTPStatus
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread
from typing import Any

LOOPBACK = "127.0.0.1"
USUAL_PORT = 8000


class SiteHandler(SimpleHTTPRequestHandler):
    """Answers with files of the site."""

    protocol_version = "HTTP/1.1"
    extensions_map = {  # noqa: RUF012 (the base class has it as it is)
        **SimpleHTTPRequestHandler.extensions_map,
        ".js": "text/javascript",
        ".json": "application/json",
        ".mjs": "text/javascript",
        ".svg": "image/svg+xml",
        ".wasm": "application/wasm",
        ".webmanifest": "application/manifest+json",
        ".whl": "application/zip",
        ".woff2": "font/woff2",
    }

    def end_headers(self) -> None:
        """Ends the header block, after asking the browser to check before it uses a copy of its own."""
        self.send_header("Cache-Control", "no-cache")
        super().end_headers()

    def send_error(self, code: int, message: str | None = None, explain: str | None = None) -> None:
        """Sends the site's own page for what is not there, the plain answer for all else."""
        page = Path(self.directory) / "404.html"
        if code != HTTPStatus.NOT_FOUND or not page.is_file():
            super().send_error(code, message, explain)
            return
        content = page.read_bytes()
        self.send_response(code)
        self.send_header("Content-Type", "text/html; charset=utf-8")
        self.send_header("Content-Length", str(len(content)))
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(content)

    def log_message(self, format: str, *args: object) -> None:
        """Keeps quiet: a page of the site is dozens of requests."""


class SiteServer(ThreadingHTTPServer):
    """Serves one folder on the loopback address."""

    daemon_threads = True

    def __init__(self, folder: Path, port: int = 0) -> None:
        """Opens the server on `port`, or on any free port if that is 0."""
        super().__init__((LOOPBACK, port), partial(SiteHandler, directory=str(folder)))

    def handle_error(self, request: Any, client_address: Any) -> None:
        """Passes over a browser that has gone away in the middle; reports all else."""
        if not isinstance(sys.exc_info()[1], ConnectionError):
            super().handle_error(request, client_address)

    @property
    def address(self) -> str:
        """The address of the site's front page."""
        return f"http://{LOOPBACK}:{self.server_port}/"


@contextmanager
def serving(folder: Path) -> Iterator[str]:
    """Serves `folder` on a free port, in the background, while the block runs; gives the address."""
    with SiteServer(folder) as server:
        thread = Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05})
        thread.start()
        try:
            yield server.address
        finally:
            server.shutdown()
            thread.join()


def main(folder: str, port: str = str(USUAL_PORT)) -> None:
    """Serves `folder` until interrupted; on another free port if `port` is taken."""
    try:
        server = SiteServer(Path(folder), int(port))
    except OSError:
        server = SiteServer(Path(folder))
    with server:
        print(f"The site is at {server.address}  (Ctrl-C stops it)", flush=True)
        try:
            server.serve_forever()
        except KeyboardInterrupt:
            print()


if __name__ == "__main__":
    main(*sys.argv[1:])
