"""Plain data to JSON and back. Arrays and bytes travel beside the JSON, as {"$block": index, "shape": [...]}."""

from __future__ import annotations

import json
import types
from collections.abc import Callable, Mapping, Sequence
from dataclasses import fields, is_dataclass
from functools import cache
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

import numpy as np

from posekit.errors import PosekitError, error

Block = bytes | np.ndarray
_PLAIN = {float, int, str, bool, type(None)}


def encode(value: Any) -> tuple[str, list[Block]]:
    """JSON text of a view, and the blocks it points to: flat float32 arrays and bytes."""
    blocks: list[Block] = []

    def plain(item: Any) -> Any:
        kind = type(item)
        if kind in _PLAIN:
            return item
        if is_dataclass(kind):
            return {name: plain(getattr(item, name)) for name in _names(kind)}
        if isinstance(item, np.ndarray):
            blocks.append(np.ascontiguousarray(item, np.float32).ravel())
            return {"$block": len(blocks) - 1, "shape": list(item.shape)}
        if isinstance(item, bytes):
            blocks.append(item)
            return {"$block": len(blocks) - 1, "shape": None}
        if isinstance(item, Mapping):
            return {str(name): plain(entry) for name, entry in item.items()}
        if isinstance(item, (tuple, list)):
            # Numbers of a pose, say, as which they come sixty times a second.
            return item if _PLAIN.issuperset(map(type, item)) else [plain(entry) for entry in item]
        return item

    return json.dumps(plain(value), allow_nan=False), blocks


def decode(method: Any, text: str, blocks: Sequence[bytes]) -> dict[str, Any]:
    """Keyword arguments of a method from JSON text; PosekitError if they do not fit its signature."""
    given = json.loads(text)
    hints = _hints(getattr(method, "__func__", method))
    unknown = sorted(set(given) - set(hints))
    if unknown:
        raise PosekitError([error("bad-request", unknown[0], "is not a parameter of this method")])
    return {name: _fit(given[name], hints[name], name, blocks) for name in given}


@cache
def _names(kind: type) -> tuple[str, ...]:
    return tuple(field.name for field in fields(kind))


@cache  # Python reads them out of the text of the annotations, which takes as long as all else of a request
def _hints(function: Callable[..., Any]) -> dict[str, Any]:
    hints = get_type_hints(function)
    hints.pop("return", None)
    return hints


def _fit(given: Any, hint: Any, place: str, blocks: Sequence[bytes]) -> Any:
    origin, inner = get_origin(hint), get_args(hint)
    if hint is bytes and isinstance(given, Mapping) and "$block" in given:
        return blocks[given["$block"]]
    if origin is tuple and isinstance(given, list):
        kinds = inner[:1] * len(given) if inner[-1] is Ellipsis else inner
        if len(kinds) == len(given):
            pairs = enumerate(zip(given, kinds, strict=True))
            return tuple(_fit(item, kind, f"{place}[{i}]", blocks) for i, (item, kind) in pairs)
    elif origin is Mapping and isinstance(given, Mapping):
        if all(type(item) is inner[1] for item in given.values()):
            return given
        return {name: _fit(item, inner[1], f"{place}.{name}", blocks) for name, item in given.items()}
    elif origin in (Union, types.UnionType):
        for kind in inner:
            try:
                return _fit(given, kind, place, blocks)
            except PosekitError:
                continue
    elif (origin is Literal and given in inner) or (hint is float and type(given) in (int, float)):
        return given
    elif hint is type(None) and given is None:
        return None
    elif hint is Any or (hint in (int, str, bool) and type(given) is hint):
        return given
    raise PosekitError([error("bad-request", place, f"is {given!r}, which does not fit here")])
