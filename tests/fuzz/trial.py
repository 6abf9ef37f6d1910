"""One piece of input through one door, within a time and a memory that are given; and many of them."""

from __future__ import annotations

import contextlib
import io
import json
import random
import resource
import shutil
import signal
import subprocess
import traceback
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import FrameType
from typing import Any

from .doors import DOORS, outcome

SECONDS = 5.0  # of processor time, which a busy machine does not use up
MEMORY = 512 << 20  # beside what Python and the libraries hold when they are loaded


@dataclass(frozen=True)
class Trial:
    """What became of case `seed` at a door: `answered`, `refused`, or in words what went wrong."""

    door: str
    seed: int
    end: str

    @property
    def is_fault(self) -> bool:
        """Neither an answer nor a refusal."""
        return self.end not in ("answered", "refused")


class TooLong(BaseException):
    """Raised in a case that takes more than its time; no handler of posekit's own takes it for a fault of input."""


def content_of(door: str, seed: int) -> bytes:
    """The input of case `seed` at a door: the same on every machine."""
    rng = random.Random(f"{door} {seed}")
    return DOORS[door].make(rng, DOORS[door].seeds())


def tried(door: str, seed: int) -> Trial:
    """One case, in this process."""
    content = content_of(door, seed)
    said = io.StringIO()
    try:
        with _within(SECONDS, MEMORY), contextlib.redirect_stderr(said), contextlib.redirect_stdout(said):
            end = outcome(DOORS[door], content)
    except TooLong:
        return Trial(door, seed, f"took more than {SECONDS:g} s")
    except MemoryError:
        return Trial(door, seed, f"took more than {MEMORY >> 20} MiB")
    except Exception as problem:
        last = traceback.extract_tb(problem.__traceback__)[-1]
        return Trial(
            door, seed, f"{type(problem).__name__} at {last.filename}:{last.lineno}: {str(problem)[:300]}"
        )
    if said.getvalue():
        return Trial(door, seed, f"printed: {said.getvalue()[:300]}")
    return Trial(door, seed, end)


@contextlib.contextmanager
def _within(seconds: float, memory: int) -> Iterator[None]:
    """Processor time and address space of what runs inside."""

    def over(number: int, frame: FrameType | None) -> None:
        raise TooLong

    before, limits = signal.signal(signal.SIGPROF, over), resource.getrlimit(resource.RLIMIT_AS)
    resource.setrlimit(resource.RLIMIT_AS, (_held() + memory, limits[1]))
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)
        resource.setrlimit(resource.RLIMIT_AS, limits)


def _held() -> int:
    """The address space of this process in bytes."""
    with open("/proc/self/statm") as about:
        return int(about.read().split()[0]) * resource.getpagesize()


@cache
def warm(door: str) -> None:
    """Load whatever a door needs, so that no case pays for it: its own good input goes through once a process."""
    for seed in DOORS[door].seeds():
        with contextlib.suppress(Exception), contextlib.redirect_stdout(io.StringIO()):
            outcome(DOORS[door], seed)


PAGE_DOORS = ("zip", "link")  # these two stand in the page, in TypeScript


def tried_in_page(first: int, count: int) -> dict[str, dict[str, Any]]:
    """The cases of the page's doors, by Node: how many were `answered` and `refused`, and the `faults` in words."""
    node = shutil.which("node")
    assert node, "the doors of the page need Node to be tried"
    script = Path(__file__).with_name("page_doors.mjs")
    done = subprocess.run(
        [node, str(script), str(first), str(count)], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    told: dict[str, dict[str, Any]] = json.loads(done.stdout)
    return told
