"""Work counted in lines that run, for laws of growth that hold on any machine, however busy."""

from __future__ import annotations

import sys
from collections.abc import Callable, Generator, Mapping
from dataclasses import dataclass
from types import CodeType, FrameType
from typing import Any

Size = Callable[[Mapping[str, Any]], int]  # of what a function is given, by the names of its arguments


def lines_run(work: Callable[[], object]) -> int:
    """How many lines of posekit run while the work is done."""
    count = 0

    def step(frame: FrameType, event: str, _: Any) -> Any:
        nonlocal count
        if "posekit" not in frame.f_code.co_filename:
            return None
        count += event == "line"
        return step

    before = sys.gettrace()
    sys.settrace(step)
    try:
        work()
    finally:
        sys.settrace(before)
    return count


@dataclass
class Step:
    """What was done between two looks at the clock: lines of posekit that ran, and what some functions were given."""

    lines: int
    given: dict[str, int]


def steps_run(work: Generator[object, None, object], most: int, sizes: Mapping[CodeType, Size]) -> list[Step]:
    """The first `most` steps of long work, the last of which may end it; `sizes` tell how much a function is given."""
    done: list[Step] = []
    now = Step(0, {})

    def step(frame: FrameType, event: str, _: Any) -> Any:
        code = frame.f_code
        if "posekit" not in code.co_filename:
            return None
        if event == "call" and code in sizes:
            now.given[code.co_name] = now.given.get(code.co_name, 0) + sizes[code](frame.f_locals)
        now.lines += event == "line"
        return step

    before = sys.gettrace()
    sys.settrace(step)
    try:
        for _ in range(most):
            ended = next(work, done) is done
            done.append(now)
            if ended:
                break
            now = Step(0, {})
    finally:
        sys.settrace(before)
    return done
