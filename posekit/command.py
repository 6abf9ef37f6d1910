"""Starts the command `posekit`.

It imports nothing of posekit until `main` listens for Ctrl+C: to load numpy takes a good part of a second, and an
interrupt is to stop the command in words then, too. So `posekit/__init__.py` loads nothing by itself.
"""

from __future__ import annotations

import os
import signal

INTERRUPTED = 130  # as shells count: 128 and the number of the signal


def main() -> None:
    """Run the command and leave with its exit status."""
    # An interrupt in the middle of an import would be taken for a fault of the module: so it ends all at once.
    signal.signal(signal.SIGINT, _stop)
    from posekit.cli import main as command

    try:
        signal.signal(signal.SIGINT, signal.default_int_handler)
        command()
    except KeyboardInterrupt:
        _stop()
    finally:
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # what is left is Python's own end


def _stop(*_: object) -> None:
    try:
        os.write(2, b"Stopped. No file was written.\n")
    finally:
        os._exit(INTERRUPTED)
