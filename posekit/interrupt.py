"""Ctrl+C while a command runs: a KeyboardInterrupt, except in the middle of an import. It loads nothing heavy itself.

A compiled library that is interrupted while it is set up may take the whole process with it (seen with pybind11
modules, which trimesh imports where they are installed), so there the command ends at once, in the same words.
"""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from types import FrameType
from typing import NoReturn

INTERRUPTED = 130  # as shells count: 128 and the number of the signal
_IMPORT = "<frozen importlib"  # how the files of Python's own import machinery are named in its frames


@contextmanager
def interrupts(words: Callable[[], str]) -> Iterator[None]:
    """Within it, an interrupt ends the process with `words` where something is imported, else it is raised."""

    def interrupted(number: int, frame: FrameType | None) -> None:
        if not _importing(frame):
            raise KeyboardInterrupt
        stop(words())

    before = None
    with suppress(ValueError):  # only the main thread hears of signals
        before = signal.signal(signal.SIGINT, interrupted)
    try:
        yield
    finally:
        if before is not None:
            signal.signal(signal.SIGINT, before)


def stop(words: str) -> NoReturn:
    """End the process at once, as interrupted."""
    try:
        os.write(2, f"{words}\n".encode())
    finally:
        os._exit(INTERRUPTED)


def _importing(frame: FrameType | None) -> bool:
    # Ends: a stack has an outermost frame.
    while frame is not None:
        if frame.f_code.co_filename.startswith(_IMPORT):
            return True
        frame = frame.f_back
    return False
