"""Starts the command `posekit`.

It imports nothing heavy of posekit until `main` listens for Ctrl+C: to load numpy takes a good part of a second, and an
interrupt is to stop the command in words then, too. So `posekit/__init__.py` loads nothing by itself.
"""

from __future__ import annotations

import signal

from posekit.interrupt import interrupts, stop

STOPPED = "Stopped. No file was written."


def main() -> None:
    """Run the command and leave with its exit status."""
    try:
        with interrupts(lambda: STOPPED):
            from posekit.cli import main as command

            command()
    except KeyboardInterrupt:
        stop(STOPPED)
    finally:
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # what is left is Python's own end
