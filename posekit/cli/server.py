"""A web server for the page, on loopback only: the files of one folder, and a prop held in memory."""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from urllib.parse import unquote, urlsplit

from posekit.bridge.served import INDEX, Served
from posekit.errors import PosekitError, error

LOOPBACK = "127.0.0.1"

# Nothing from another host, no script in the markup; WebAssembly is what Python is made of here. Pictures and
# downloads are made in the page, so blob: is its own. The page's own markup says the same for static hosts.
POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self' 'wasm-unsafe-eval'",
        "worker-src 'self'",
        "connect-src 'self' blob:",
        "style-src 'self'",
        "img-src 'self' blob: data:",
        "manifest-src 'self'",
        "base-uri 'none'",
        "form-action 'none'",
    )
)
HEADERS = {
    "Content-Security-Policy": f"{POLICY}; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
}
# Of the page's files alone. A system's own table may say otherwise, and a browser takes no module
# script and no streamed WebAssembly under a wrong type.
TYPES = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".mjs": "text/javascript; charset=utf-8",
    ".json": "application/json",
    ".svg": "image/svg+xml",
    ".png": "image/png",
    ".wasm": "application/wasm",
    ".txt": "text/plain; charset=utf-8",
    ".zip": "application/zip",
    ".glb": "model/gltf-binary",
}
# Names in these folders carry a hash of the content; all others are asked for anew.
HASHED = ("assets/", "runtime/", "props/")
FOREVER, ANEW = "public, max-age=31536000, immutable", "no-cache"


@dataclass(frozen=True, slots=True)
class Site:
    """What is served: a folder, and in front of it a prop with its files by address."""

    folder: Path
    prop: Served | None = None
    files: Mapping[str, bytes] = field(default_factory=dict)

    def content(self, address: str) -> bytes | None:
        """The bytes at an address below the root, or None."""
        if address == INDEX and self.prop is not None:
            demos = json.loads((self.folder / INDEX).read_bytes())
            others = [entry for entry in demos if entry["name"] != self.prop.name]
            return json.dumps([asdict(self.prop), *others]).encode()
        if address in self.files:
            return self.files[address]
        try:
            place = (self.folder / address).resolve()
            inside = place.is_relative_to(self.folder.resolve())
            return place.read_bytes() if inside and place.is_file() else None
        except (OSError, ValueError):  # an address that cannot be the path of a file
            return None


class Server(ThreadingHTTPServer):
    """A server that takes it calmly when a browser leaves in the middle of an answer."""

    def handle_error(self, request: object, client_address: object) -> None:
        """Tell of a fault of our own; a connection that broke off is none."""
        if not isinstance(sys.exception(), ConnectionError):
            super().handle_error(request, client_address)  # type: ignore[arg-type]  # typeshed says socket


def serve(site: Site, port: int) -> Server:
    """A server for the site, bound and not yet running. Raises PosekitError if the port is taken."""

    class Handler(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def do_GET(self) -> None:
            self._answer(with_content=True)

        def do_HEAD(self) -> None:
            self._answer(with_content=False)

        def _answer(self, with_content: bool) -> None:
            # A page elsewhere can point its own name at this machine; that name then stands in Host.
            if self.headers.get("Host", "").rpartition(":")[0] not in (LOOPBACK, "localhost"):
                self._send(
                    HTTPStatus.MISDIRECTED_REQUEST, "text/plain", b"Ask for 127.0.0.1.", ANEW, with_content
                )
                return
            address = unquote(urlsplit(self.path).path).lstrip("/") or "index.html"
            content = site.content(address)
            if content is None:
                self._send(HTTPStatus.NOT_FOUND, "text/plain", b"There is no such file.", ANEW, with_content)
                return
            kind = TYPES.get(Path(address).suffix, "application/octet-stream")
            keep = FOREVER if address.startswith(HASHED) and address != INDEX else ANEW
            self._send(HTTPStatus.OK, kind, content, keep, with_content)

        def _send(self, status: HTTPStatus, kind: str, content: bytes, keep: str, with_content: bool) -> None:
            self.send_response(status)
            about = {
                "Content-Type": kind,
                "Content-Length": str(len(content)),
                "Cache-Control": keep,
                **HEADERS,
            }
            for name, value in about.items():
                self.send_header(name, value)
            self.end_headers()
            if with_content:
                self.wfile.write(content)

        def log_message(self, format: str, *args: object) -> None:
            """Say nothing: the builder looks at the page, not at its requests."""

    try:
        return Server((LOOPBACK, port), Handler)
    except (OSError, OverflowError) as problem:
        sentence = f"= {port}: cannot be used ({problem}); take another, or leave it out"
        raise PosekitError([error("port", "--port", sentence)]) from problem
