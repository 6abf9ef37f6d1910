"""The page's Python, run beside the browser instead of in it: the same bridge, a process of its own for each worker.

A worker of this kind says to the page what the page's own says (`web/src/engine/messages.ts`), and asks a process
here over a WebSocket. It starts at once and answers several times as soon; of packages it has those of a page, no more.
What it cannot show is what Pyodide does: how that starts, fetches what it lacks, counts in 32 bits and takes its time.
Tests that are about the page and nothing of that ask for it by `pytest.mark.python("native")`.
"""

from __future__ import annotations

import json
import multiprocessing
import pkgutil
import re
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from importlib.machinery import PathFinder
from multiprocessing.connection import Connection
from pathlib import Path
from threading import Thread
from typing import Any

import numpy as np
from websockets.exceptions import ConnectionClosed
from websockets.sync.server import ServerConnection, serve

import posekit.bridge

ROOT = Path(__file__).parents[2]
WORKER = Path(__file__).with_name("native.worker.js")
WHEELS = re.findall(r"^([\w-]+)==", (ROOT / "web" / "runtime" / "wheels.txt").read_text(), re.MULTILINE)
OF_THE_PAGE = {*sys.stdlib_module_names, "numpy", "posekit", *(name.replace("-", "_") for name in WHEELS)}

# Each process is forked from one that has all imported: it starts at once, shares no state and can be killed.
PROCESSES = multiprocessing.get_context("forkserver")
BRIDGE = [f"posekit.bridge.{module.name}" for module in pkgutil.iter_modules(posekit.bridge.__path__)]
PROCESSES.set_forkserver_preload(["tests.web.native_imports"])


@contextmanager
def native_python() -> Iterator[str]:
    """The script of a worker that asks Python here, for as long as this lasts."""
    with serve(attend, "127.0.0.1", 0, max_size=None, compression=None, ping_interval=None) as server:
        Thread(target=server.serve_forever).start()
        port = server.socket.getsockname()[1]
        yield f'const PYTHON = "ws://127.0.0.1:{port}";\n{WORKER.read_text()}'


def attend(worker: ServerConnection) -> None:
    """Pass what a worker asks on to a Python of its own, which ends with it."""
    here, there = PROCESSES.Pipe()
    python = PROCESSES.Process(target=answer, args=(there,), daemon=True)
    python.start()
    there.close()
    Thread(target=pass_back, args=(here, worker)).start()
    with suppress(ConnectionClosed, OSError):  # a worker that is ended takes no leave, nor does a Python
        for request in worker:
            method, params, count = json.loads(request)
            here.send((method, params, [worker.recv() for _ in range(count)]))
    python.kill()
    python.join()


def pass_back(python: Connection, worker: ServerConnection) -> None:
    """Pass what Python answers back, block by block, until either ends."""
    with suppress(EOFError, OSError, ConnectionClosed):
        while True:  # ends by what reading or sending then raises
            state, text, blocks = python.recv()
            worker.send(json.dumps([state, text, [kind_of(block) for block in blocks]]))
            for block in blocks:
                worker.send(bytes(block))
    worker.close(1011, "the native Python ended")


def kind_of(block: Any) -> str:
    return "floats" if isinstance(block, np.ndarray) else "bytes"


def answer(asked: Connection) -> None:
    """What a process does: hold one Dispatcher, and answer until it is killed."""
    with packages_of_the_page():
        handle = posekit.bridge.Dispatcher().handle
        while True:  # ends with its process
            asked.send(handle(*asked.recv()))


@contextmanager
def packages_of_the_page() -> Iterator[None]:
    """What is imported meanwhile finds the packages that a page has."""
    before = sys.meta_path[:]
    sys.meta_path[:] = [OnlyOfThePage if finder is PathFinder else finder for finder in before]
    try:
        yield
    finally:
        sys.meta_path[:] = before


class OnlyOfThePage(PathFinder):
    """Finds the packages that a page has; others are missing, as they are there."""

    @classmethod
    def find_spec(cls, fullname: str, path: Any = None, target: Any = None) -> Any:
        return (
            super().find_spec(fullname, path, target) if fullname.partition(".")[0] in OF_THE_PAGE else None
        )
