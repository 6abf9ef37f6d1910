"""Long work of a desk, in steps between which the page can ask for other things."""

from __future__ import annotations

import time
from collections.abc import Callable, Generator
from typing import Any, Generic, TypeVar

from posekit.prop.model import Prop

State = TypeVar("State")
Made = TypeVar("Made")


class Steps(Generic[State, Made]):
    """Work as a generator makes it, a state a step; `begin` makes the generator, anew where that is needed.

    In the middle of it a module may be missing, which the page then fetches to ask for the same step again. A generator
    that has raised has ended, though, so the work is begun anew; at most once a module.
    """

    def __init__(self, begin: Callable[[], Generator[State, Any, Made]]) -> None:
        self._begin = begin
        self._running = begin()
        self._begun = False

    def go_on(self, seconds: float = 0.0) -> State:
        """The newest step, after going on for about so long; at least by one. StopIteration with what was made."""
        end = time.monotonic() + seconds
        # Ends: with the steps.
        while True:
            state = self._step(None)
            if time.monotonic() >= end:
                return state

    def stop(self) -> State:
        """The next step of work that hears it: it is told to come to its end. StopIteration with what was made."""
        return self._step(True) if self._begun else self._step(None)

    def _step(self, told: object) -> State:
        try:
            state = self._running.send(told)
        except ModuleNotFoundError:
            self._running, self._begun = self._begin(), False
            raise
        self._begun = True
        return state


class Resumed(Generic[Made]):
    """Work for which the page asks again and again until it is there; asked about anything else it begins anew."""

    def __init__(self) -> None:
        self._left: tuple[Prop, object, Steps[None, Made]] | None = None

    def go_on(
        self, prop: Prop, about: object, begin: Callable[[], Generator[None, None, Made]], seconds: float
    ) -> Made | None:
        """What is made `about` something of a prop; None where more is to do after about so long."""
        left, self._left = self._left, None  # steps that are at their end, or raise, are not gone on with
        steps = left[2] if left and left[0] is prop and left[1] == about else Steps(begin)
        try:
            steps.go_on(seconds)
        except StopIteration as end:
            made: Made = end.value
            return made
        self._left = prop, about, steps
        return None
