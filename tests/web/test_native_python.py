"""The Python beside the browser answers as the page's own does: by the same bridge, alone, with the same packages."""

from __future__ import annotations

import json
import multiprocessing
import re
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from multiprocessing.process import BaseProcess

import numpy as np
import pytest
from websockets.exceptions import ConnectionClosedError
from websockets.sync.client import ClientConnection, connect

from posekit.bridge import Dispatcher
from tests.web.native_python import OnlyOfThePage, native_python, packages_of_the_page

pytestmark = pytest.mark.native


PATIENCE = 60.0  # s, on a machine that does other things, too


@pytest.fixture
def worker() -> Iterator[Callable[[], ClientConnection]]:
    """What stands for a worker, as often as it is called."""
    with native_python() as script, ExitStack() as open_ones:
        (address,) = re.findall(r"ws://[\d.:]+", script)
        yield lambda: open_ones.enter_context(connect(address, max_size=None, proxy=None))


def ask(worker: ClientConnection, method: str, params: object, *blocks: bytes) -> tuple[str, object, list]:
    worker.send(json.dumps([method, json.dumps(params), len(blocks)]))
    for block in blocks:
        worker.send(block)
    state, text, kinds = json.loads(worker.recv(PATIENCE))
    made = [worker.recv(PATIENCE) for _ in kinds]
    return (
        state,
        json.loads(text),
        [
            np.frombuffer(block, np.float32) if kind == "floats" else block
            for block, kind in zip(made, kinds, strict=True)
        ],
    )


@pytest.fixture
def pythons() -> Callable[[], list[BaseProcess]]:
    """Those that were started since; pages that stand ready from other tests have theirs, too."""
    before = {each.pid for each in multiprocessing.active_children()}
    return lambda: [each for each in multiprocessing.active_children() if each.pid not in before]


def opened(worker: ClientConnection, arm_text: str) -> None:
    params = {"files": {"prop.toml": {"$block": 0}}, "name": "arm"}
    assert ask(worker, "open", params, arm_text.encode())[0] == "done"


def test_it_says_what_the_bridge_says_block_by_block(worker, arm_text: str) -> None:
    opened(asked := worker(), arm_text)
    here = Dispatcher()
    here.handle(
        "open", json.dumps({"files": {"prop.toml": {"$block": 0}}, "name": "arm"}), [arm_text.encode()]
    )
    pose = {"values": {"arm": 200}}
    state, text, blocks = here.handle("pose", json.dumps(pose))
    found = ask(asked, "pose", pose)
    assert found[:2] == (state, json.loads(text)) and state == "done" and len(blocks) > 0
    for one, other in zip(found[2], blocks, strict=True):
        np.testing.assert_array_equal(one, other)


def test_each_worker_has_a_python_of_its_own_that_ends_with_it(worker, pythons, arm_text: str) -> None:
    one, other = worker(), worker()
    opened(one, arm_text)
    assert ask(other, "part_tree", {})[0] == "refused"
    assert len(pythons()) == 2
    one.close()
    until = time.monotonic() + PATIENCE
    while len(pythons()) > 1:  # ends with the process, or the patience
        assert time.monotonic() < until
        time.sleep(0.05)
    assert ask(other, "hello", {})[0] == "done"


def test_a_python_that_dies_is_told(worker, pythons) -> None:
    asked = worker()
    assert ask(asked, "hello", {})[0] == "done"
    (python,) = pythons()
    python.kill()
    with pytest.raises(ConnectionClosedError, match="the native Python ended"):
        asked.recv(PATIENCE)


def test_it_has_the_packages_of_a_page_and_no_others() -> None:
    for name in ("numpy", "posekit", "trimesh", "pygltflib", "dpkt", "json"):
        assert OnlyOfThePage.find_spec(name) is not None, name
    for name in ("PIL", "scipy", "coacd", "cascadio", "fast_simplification", "collada"):
        assert OnlyOfThePage.find_spec(name) is None, name


def test_what_fails_meanwhile_leaves_the_packages_of_this_machine() -> None:
    before = sys.meta_path[:]
    with pytest.raises(ZeroDivisionError), packages_of_the_page():
        _ = 1 / 0
    assert sys.meta_path == before
