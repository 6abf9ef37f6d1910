"""A screen without glass (Xvfb), for browsers that want one."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from shutil import which


def needed(command: str, package: str) -> str:
    """The path of a command; AssertionError with what is to be installed where there is none."""
    found = which(command)
    assert found, f"There is no {command} on this machine. Install it (Debian: apt-get install {package})."
    return found


@contextmanager
def screen(home: Path) -> Iterator[dict[str, str]]:
    """The environment for a browser: a screen of 1400 x 1000 px and a home of its own."""
    server = needed("Xvfb", "xvfb")
    reads, writes = os.pipe()
    command = [server, "-displayfd", str(writes), "-screen", "0", "1400x1000x24", "-nolisten", "tcp"]
    with subprocess.Popen(command, pass_fds=[writes], stderr=subprocess.DEVNULL) as running:
        os.close(writes)
        try:
            with os.fdopen(reads) as said:
                number = said.readline().strip()
            assert number, f"Xvfb ended with {running.wait()} before it had a screen."
            yield {**os.environ, "DISPLAY": f":{number}", "HOME": str(home), "LANG": "C.UTF-8"}
        finally:
            running.terminate()
