"""A free port, a driver that listens there, and a proxy that takes down what is asked of the network."""

from __future__ import annotations

import socket
import subprocess
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from time import monotonic, sleep

from tests.web.drivers.window import ANSWER


def free_port() -> int:
    """A port of this machine at which nobody listens."""
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


def listens(port: int, running: subprocess.Popen[bytes], log: Path) -> None:
    """Wait until a program listens at its port; AssertionError with what it said if it ends before."""
    until = monotonic() + ANSWER
    while running.poll() is None and monotonic() < until:  # ends with the program or the time
        with socket.socket() as trial:
            if trial.connect_ex(("127.0.0.1", port)) == 0:
                return
        sleep(0.05)
    raise AssertionError(f"Nobody listens at {port}: {log.read_text()[-2000:]}")


@contextmanager
def asked_of_network() -> Iterator[tuple[str, list[str]]]:
    """The address of a proxy that answers nothing, and the list of what it was asked for."""
    asked: list[str] = []

    class Refuses(BaseHTTPRequestHandler):
        def refuse(self) -> None:
            asked.append(self.path)
            self.send_error(502)

        def log_message(self, format: str, *args: object) -> None:
            """The list tells it."""

    for method in ("GET", "HEAD", "POST", "OPTIONS", "CONNECT"):
        setattr(Refuses, f"do_{method}", Refuses.refuse)
    with ThreadingHTTPServer(("127.0.0.1", 0), Refuses) as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        try:
            yield f"127.0.0.1:{server.server_port}", asked
        finally:
            server.shutdown()
            thread.join()
