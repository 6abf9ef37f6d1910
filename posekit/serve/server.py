"""A site on a port: of the loopback, which no other machine can reach, unless another address is asked for."""

from __future__ import annotations

import socket
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import uvicorn
from starlette.types import ASGIApp

from posekit.budgets import BACKLOG, REQUEST_BYTES
from posekit.errors import PosekitError, error
from posekit.serve.app import LOOPBACK, app_of
from posekit.serve.doors import Told
from posekit.serve.keys import Keys
from posekit.serve.patience import PatientProtocol
from posekit.serve.site import Site

LEAVE_S = 1  # for answers that are on their way when the server ends


class Server:
    """An application, bound to a port: from here on browsers can ask, and are answered once it runs."""

    def __init__(
        self, app: ASGIApp, taken: socket.socket, protocol: type[PatientProtocol], key: str = ""
    ) -> None:
        self._listening = taken
        name, self.port = taken.getsockname()
        self.address = f"http://{name}:{self.port}/"
        # The address to be given to a browser, once: the page that comes by it may save into the folder.
        self.entrance = f"{self.address}#key={key}" if key else self.address
        self._uvicorn = uvicorn.Server(
            uvicorn.Config(
                app,
                http=protocol,
                ws="none",
                lifespan="off",
                backlog=BACKLOG,
                h11_max_incomplete_event_size=REQUEST_BYTES,
                timeout_graceful_shutdown=LEAVE_S,
                server_header=False,
                access_log=False,  # the builder looks at the page, not at its requests; an address may hold a secret
                log_config=None,
                log_level="critical",
            )
        )

    def run(self) -> None:
        """Answer until Ctrl+C, which is KeyboardInterrupt here."""
        self._uvicorn.run(sockets=[self._listening])

    def stop(self) -> None:
        """Let `run` in another thread come to its end."""
        self._uvicorn.should_exit = True

    def close(self) -> None:
        """Give the port back."""
        self._listening.close()


@contextmanager
def bound(
    site: Site,
    port: int = 0,
    on_fault: Callable[[Exception], None] = lambda fault: None,
    protocol: type[PatientProtocol] = PatientProtocol,
    at_phones: Told | None = None,
) -> Iterator[Server]:
    """A server on this port of the loopback, 0 for any free one. Raises PosekitError if it cannot be had.

    `at_phones` is told to the page that may save: where a phone finds the same.
    """
    keys = Keys()
    app = app_of(site, keys, on_fault, at_phones)
    server = Server(app, listening(LOOPBACK, port, "--port"), protocol, keys.given if site.front else "")
    try:
        yield server
    finally:
        server.close()


@contextmanager
def running(
    site: Site,
    on_fault: Callable[[Exception], None] = lambda fault: None,
    protocol: type[PatientProtocol] = PatientProtocol,
    port: int = 0,
) -> Iterator[Server]:
    """A server that answers in a thread of its own, on this port, 0 for any free one."""
    with bound(site, port, on_fault, protocol) as server, in_a_thread(server):
        yield server


@contextmanager
def in_a_thread(server: Server) -> Iterator[None]:
    """Let a server answer beside what is done here, until the end of the block."""
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    try:
        yield
    finally:
        server.stop()
        thread.join()


def listening(address: str, port: int, option: str) -> socket.socket:
    """A socket that listens at this address of the machine alone. Raises PosekitError, which names the option."""
    taken = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        if sys.platform != "win32":  # there it would share the port with another program
            taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        taken.bind((address, port))
        taken.listen(BACKLOG)  # before the browser is told the address
    except (OSError, OverflowError) as problem:
        taken.close()
        reason = getattr(problem, "strerror", None) or problem
        sentence = f"= {port}: cannot be used ({reason}); use another, or leave it out"
        raise PosekitError([error("port", option, sentence)]) from problem
    return taken
