"""One request, one answer: a file of the site, whole or in part, or an error that says the same about itself."""

from __future__ import annotations

import secrets
from collections.abc import AsyncIterator, Callable
from functools import partial
from pathlib import PurePosixPath

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, PlainTextResponse, Response, StreamingResponse
from starlette.routing import Route
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from posekit.bridge.site_entry import INDEX
from posekit.budgets import MIB
from posekit.serve.doors import OWN_NAMES, Doors, Told
from posekit.serve.headers import ANEW, FOREVER, HEADERS, NEVER, TYPES, kept
from posekit.serve.keys import Keys
from posekit.serve.site import Site
from posekit.serve.smaller import accepts, brotli_of, gzip_of

LOOPBACK = OWN_NAMES[0]
NOT_THERE = "There is no such file."
OF_POSEKIT = ("/assets/", "/runtime/")  # the same for every prop: nothing of the builder's is in there


def app_of(
    site: Site, keys: Keys, on_fault: Callable[[Exception], None], at_phones: Told | None = None
) -> ASGIApp:
    """The application that serves a site to this machine. `on_fault` is told of a fault of our own, which the browser
    gets as 500.

    Where a prop of the builder's stands in front, it opens its folder to who has one of the `keys`.
    """
    doors = Doors(site.front.followed, keys, at_phones).routes() if site.front else []
    return Guard(Starlette(routes=[*doors, _files(site)]), on_fault, _this_machine)


def looking_app_of(site: Site, address: str, secret: str, on_fault: Callable[[Exception], None]) -> ASGIApp:
    """The application that serves a site to others, to look at: below a folder that is named by the secret.

    Nothing of the prop is to be kept by a browser, and no door leads into its folder.
    """
    doors = Doors(site.front.followed, Keys()).to_look() if site.front else []
    enters = partial(_by_secret, address, secret)
    return Guard(Starlette(routes=[*doors, _files(site, far=True)]), on_fault, enters, kept=OF_POSEKIT)


def _files(site: Site, *, far: bool = False) -> Route:
    """The files of a site. To who is `far` they go out by gzip, too: on this machine it takes longer than it saves."""

    async def answer(request: Request) -> Response:
        address = request.path_params["address"] or "index.html"
        if address == INDEX and site.front:
            await run_in_threadpool(site.front.renew)  # whoever opens the page now gets the prop as it is now
        place = site.place(address)
        if place is None:
            raise HTTPException(404, NOT_THERE)
        kind = TYPES.get(PurePosixPath(address).suffix, "application/octet-stream")
        about = {"Cache-Control": kept(address)}
        if about["Cache-Control"] != FOREVER:
            return File(place, media_type=kind, headers=about)
        about["Vary"] = "Accept-Encoding"
        # A part is one of the plain file: whoever asks for parts may have begun with another coding.
        taken = "" if "range" in request.headers else ",".join(request.headers.getlist("accept-encoding"))
        if accepts(taken, "br") and (beside := brotli_of(place)):
            return File(beside, media_type=kind, headers={**about, "Content-Encoding": "br"})
        if far and accepts(taken, "gzip") and (content := await run_in_threadpool(gzip_of, place)):
            about |= {"Content-Encoding": "gzip", "Content-Length": str(len(content))}
            return StreamingResponse(_blocks(content), media_type=kind, headers=about)
        return File(place, media_type=kind, headers=about)

    return Route("/{address:path}", answer, methods=["GET"])  # HEAD comes with GET


def _this_machine(host: str, path: str) -> str | Response:
    # A page elsewhere can point its own name at this machine; that name then stands in Host.
    return path if host in OWN_NAMES else PlainTextResponse("Ask for 127.0.0.1.", 421)


def _by_secret(address: str, secret: str, host: str, path: str) -> str | Response:
    """The path without the secret. Who does not have it hears the same whatever they ask for, in the same time."""
    if host != address:  # as above
        return PlainTextResponse("Ask for the address that posekit show gave out.", 421)
    given, slash, rest = path[1:].partition("/")
    has_it = secrets.compare_digest(given.encode("utf-8", "surrogatepass"), secret.encode())
    return f"/{rest}" if has_it and slash else PlainTextResponse(NOT_THERE, 404)


class File(FileResponse):
    """A file, in blocks that are read by a thread each: the usual 64 KiB take ten times as long for the page."""

    chunk_size = MIB


async def _blocks(content: bytes) -> AsyncIterator[bytes]:
    """As many at a time as of a file: each is waited for until the browser takes it."""
    for at in range(0, len(content), File.chunk_size):
        yield content[at : at + File.chunk_size]


class Guard:
    """Stands before an application: lets in who asks for this machine by its name, and sees to headers and faults.

    `enters` gives the path that a request is let in to, or what it hears instead. `kept` are the beginnings of paths
    that a browser may keep, where that is not left to the application.
    """

    def __init__(
        self,
        app: ASGIApp,
        on_fault: Callable[[Exception], None],
        enters: Callable[[str, str], str | Response],
        kept: tuple[str, ...] | None = None,
    ) -> None:
        self._app, self._on_fault, self._enters, self._kept = app, on_fault, enters, kept

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        entered = self._enters(*asked(scope["path"], Headers(scope=scope).get("host", "")))

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in {**HEADERS, "Cache-Control": ANEW}.items():
                    headers.setdefault(name, value)
                if self._kept is not None and not str(entered).startswith(self._kept):
                    headers["Cache-Control"] = NEVER
            await send(message)

        if isinstance(entered, Response):
            await entered(scope, receive, with_headers)
            return
        try:
            # The query goes along; of a secret in the address the application hears nothing.
            inner = {**scope, "path": entered, "raw_path": entered.encode("utf-8", "surrogatepass")}
            await self._app(inner, receive, with_headers)
        except Exception as fault:  # by now the browser has its answer: 500
            self._on_fault(fault)


def asked(target: str, host: str) -> tuple[str, str]:
    """The name of the machine, without its port, and the path that a request asks for.

    A target may also be a whole address, `http://127.0.0.1:8000/x`, which then stands in the place of Host (RFC 9112,
    3.2.2). What is no address gives an empty name.
    """
    if not target.startswith("/"):
        scheme, _, rest = target.partition("://")
        host, slash, path = rest.partition("/")
        target = slash + path or "/"
        if scheme.lower() != "http":
            return "", target
    name, colon, port = host.rpartition(":")
    return (name if colon and port.isdecimal() else "" if colon else host), target
