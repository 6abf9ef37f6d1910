"""Long work in steps, a generator: whoever waits for it can look at the clock between two of them."""

from __future__ import annotations

from collections.abc import Callable, Generator
from typing import Any, TypeVar

State = TypeVar("State")
Made = TypeVar("Made")
Told = TypeVar("Told")


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


def told_as(steps: Generator[State, Any, Made], tell: Callable[[State], Told]) -> Generator[Told, Any, Made]:
    """The same work, a part of another: each of its steps as that one tells them."""
    sent: Any = None
    # Ends: with the steps.
    while True:
        try:
            state = steps.send(sent)
        except StopIteration as end:
            made: Made = end.value
            return made
        sent = yield tell(state)


def telling(steps: Generator[object, Any, Made], state: State) -> Generator[State, Any, Made]:
    """`told_as` for steps that all tell the same."""
    return told_as(steps, lambda _: state)


def left_where(
    stop: Callable[[], bool], steps: Generator[State, Any, Made]
) -> Generator[State, Any, Made | None]:
    """The same work, which tells nothing on its way; None where `stop` says so before its end."""
    # Ends: with the steps.
    while True:
        try:
            state = next(steps)
        except StopIteration as end:
            made: Made = end.value
            return made
        yield state
        if stop():
            return None
