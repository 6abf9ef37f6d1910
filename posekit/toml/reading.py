"""The tables of a TOML file. What is no TOML is told with its line."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from typing import Any

from posekit.budgets import DIGITS, KEYS, TOML_BYTES, TOML_DEPTH, WHOLE_NUMBER
from posekit.errors import PosekitError, error
from posekit.paths import too_large
from posekit.toml.places import Path
from posekit.toml.told import placed

# A key of many parts, `a.b.c`: tomllib takes time that grows with the square of their number. Each part is taken
# whole (`++`), so that to look for such keys takes time that grows with the text.
_DOTTED = re.compile(
    rf"""(?<![A-Za-z0-9_-])(?:(?:[A-Za-z0-9_-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+){{{TOML_DEPTH}}}"""
)


def tables(text: str, name: str) -> dict[str, Any]:
    """The tables of a TOML file; `name` is how messages call it. PosekitError with the line at which it is none, or
    for one of more letters, keys, depth or digits than `posekit.budgets` states.
    """
    if len(text) > TOML_BYTES:
        raise too_large(len(text), TOML_BYTES, name, "a file of TOML")
    if found := _DOTTED.search(text):
        line = text.count("\n", 0, found.start()) + 1
        sentence = f"has a key of {TOML_DEPTH} parts or more; use fewer dots"
        raise PosekitError([error("too-deep", "", sentence, file=name, line=line)])
    try:
        data = tomllib.loads(text)
    except (ValueError, RecursionError) as problem:
        # Beside its own errors, tomllib lets through those of absurd depth and of numbers of thousands of digits.
        at = re.search(r"line (\d+)", str(problem))
        line = int(at[1]) if at else text.count("\n") + 1
        raise PosekitError(
            [error("not-toml", "", f"is not TOML: {problem}", file=name, line=line)]
        ) from problem
    if beyond := list(_beyond(data)):
        raise PosekitError(placed(beyond, text, name))
    return data


def _beyond(data: dict[str, Any]) -> Iterator[tuple[Path, str, str]]:
    """What of the tables is more than a file of TOML may hold."""
    waiting: list[tuple[Path, Any]] = [((), data)]
    count = 0
    # Ends: as every value is taken out once, and there are as many as the file has letters for.
    while waiting:
        path, value = waiting.pop()
        if isinstance(value, dict | list):
            if len(path) >= TOML_DEPTH:
                yield path, "too-deep", f"lies {TOML_DEPTH} tables deep or more; no key does"
                return
            if (count := count + len(value)) > KEYS:
                yield path[:1], "too-many", f"brings the file to more than {KEYS} values; make it smaller"
                return
            items = value.items() if isinstance(value, dict) else enumerate(value)
            waiting += [((*path, key), item) for key, item in items]
        elif isinstance(value, int) and abs(value) > WHOLE_NUMBER:
            digits = f"more than {DIGITS}" if abs(value) >= 10**DIGITS else len(str(abs(value)))
            yield path, "out-of-range", f"is a whole number of {digits} digits; use {WHOLE_NUMBER} or less"
