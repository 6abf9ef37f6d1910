"""Long work in steps, a generator: whoever waits for it can look at the clock between two of them."""

from __future__ import annotations

from collections.abc import Callable, Generator
from typing import Any, TypeVar

State = TypeVar("State")
Made = TypeVar("Made")


def finished(
    steps: Generator[State, Any, Made], progress: Callable[[State], bool | None] | None = None
) -> Made:
    """What the work comes to, all its steps done at once.

    `progress` hears of each; returning False it sends True into the work, which ends early if it listens.
    """
    stop: bool | None = None
    # Ends: with the steps.
    while True:
        try:
            state = steps.send(stop)
        except StopIteration as end:
            made: Made = end.value
            return made
        stop = progress is not None and progress(state) is False
