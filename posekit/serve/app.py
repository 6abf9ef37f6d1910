"""One request, one answer: a file of the site, whole or in part, or an error that says the same about itself."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import PurePosixPath

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, PlainTextResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from posekit.bridge.site_entry import INDEX
from posekit.budgets import MIB
from posekit.serve.doors import OWN_NAMES, Doors
from posekit.serve.headers import ANEW, HEADERS, TYPES, kept
from posekit.serve.keys import Keys
from posekit.serve.site import Site

LOOPBACK = OWN_NAMES[0]


def app_of(site: Site, keys: Keys, on_fault: Callable[[Exception], None]) -> ASGIApp:
    """The application that serves a site. `on_fault` is told of a fault of our own, which the browser gets as 500.

    Where a prop of the builder's stands in front, it opens its folder to who has one of the `keys`.
    """

    async def answer(request: Request) -> Response:
        address = request.path_params["address"] or "index.html"
        if address == INDEX and site.front:
            await run_in_threadpool(site.front.renew)  # whoever opens the page now gets the prop as it is now
        place = site.place(address)
        if place is None:
            raise HTTPException(404, "There is no such file.")
        kind = TYPES.get(PurePosixPath(address).suffix, "application/octet-stream")
        return File(place, media_type=kind, headers={"Cache-Control": kept(address)})

    doors = Doors(site.front.followed, keys).routes() if site.front else []
    files = Route("/{address:path}", answer, methods=["GET"])  # HEAD comes with GET
    return Guard(Starlette(routes=[*doors, files]), on_fault)


class File(FileResponse):
    """A file, in blocks that are read by a thread each: the usual 64 KiB take ten times as long for the page."""

    chunk_size = MIB


class Guard:
    """Stands before an application: lets in who asks this machine by its name, and sees to headers and faults."""

    def __init__(self, app: ASGIApp, on_fault: Callable[[Exception], None]) -> None:
        self._app, self._on_fault = app, on_fault

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in {**HEADERS, "Cache-Control": ANEW}.items():
                    headers.setdefault(name, value)
            await send(message)

        host, path = asked(scope["path"], Headers(scope=scope).get("host", ""))
        # A page elsewhere can point its own name at this machine; that name then stands in Host.
        if host not in OWN_NAMES:
            await PlainTextResponse("Ask for 127.0.0.1.", 421)(scope, receive, with_headers)
            return
        try:
            await self._app({**scope, "path": path, "raw_path": path.encode()}, receive, with_headers)
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
