"""The tables of a TOML file. What is no TOML is told with its line."""

from __future__ import annotations

import re
import tomllib
from typing import Any

from posekit.errors import PosekitError, error


def tables(text: str, name: str) -> dict[str, Any]:
    """The tables of a TOML file; `name` is how messages call it. PosekitError with the line at which it is none."""
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError) as problem:
        # Beside its own errors, tomllib lets through those of absurd depth and of numbers of thousands of digits.
        at = re.search(r"line (\d+)", str(problem))
        line = int(at[1]) if at else text.count("\n") + 1
        raise PosekitError(
            [error("not-toml", "", f"is not TOML: {problem}", file=name, line=line)]
        ) from problem
