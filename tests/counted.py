"""Work counted in lines that run, for laws of growth that hold on any machine, however busy."""

from __future__ import annotations

import sys
from collections.abc import Callable
from types import FrameType
from typing import Any


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
