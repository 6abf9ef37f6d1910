"""Changes to the text of a TOML file, its comments and order as the builder wrote them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from posekit.errors import PosekitError, error
from posekit.toml.places import parse


def set_key(text: str, key_path: str, value: Any) -> str:
    """The text with one key changed; tables on the way are made where missing, None removes the key.

    `key_path` is as in messages: `drives.jaw.pulse.low`, `links.body.shapes[0].colour`,
    `drives."arm.left".address`. Numbers of NumPy and arrays are taken as such. Raises PosekitError for what is
    no key path, for a key that cannot stand there and for a value that TOML cannot hold.
    """
    path = parse(key_path) if isinstance(key_path, str) else ()
    if not path:
        right = "write it as drives.jaw.pulse.low or links.body.shapes[0].colour"
        raise PosekitError([error("unknown-key", str(key_path), f"is no key of a prop file; {right}")])
    opened = document(text)
    table: Any = opened
    try:
        for part in path[:-1]:
            table = _inside(table, part, make=value is not None)
    except _WRONG_PLACE as problem:
        sentence = (
            "is not in the prop file; use the path of a key that is there, or of a new one in its tables"
        )
        raise PosekitError([error("unknown-key", key_path, sentence)]) from problem
    try:
        if value is None:
            table.pop(path[-1], None)
        else:
            table[path[-1]] = item(value, key_path)
    except _WRONG_PLACE as problem:
        raise PosekitError([error("unknown-key", key_path, "cannot be set in the prop file")]) from problem
    return written(opened, key_path)


def document(text: str) -> Any:
    """A TOML file to change, which `tables` has read before."""
    import tomlkit  # only edits need it

    # Without an end to its last line, tomlkit would write the next table into that line.
    return tomlkit.parse(text if not text or text.endswith("\n") else text + "\n")


def item(value: Any, key_path: str) -> Any:
    """A value as it is put into a document, a mapping as a table within its line.

    Raises PosekitError, with `key_path` as its subject, for what TOML cannot hold.
    """
    import tomlkit

    if isinstance(value, (np.generic, np.ndarray)):
        value = value.tolist()
    try:
        if not isinstance(value, Mapping):
            return tomlkit.item(value)
        inline = tomlkit.inline_table()
        for name, each in value.items():
            inline[name] = item(each, key_path)
        return inline
    except (*_WRONG_PLACE, ValueError, RecursionError) as problem:
        sentence = f"= {type(value).__name__}: TOML has no such value; use numbers, texts, lists or tables"
        raise PosekitError([error("wrong-value", key_path, sentence)]) from problem


def written(changed: Any, key_path: str) -> str:
    """The text of a document. Raises PosekitError, with `key_path` as its subject, for what is no text."""
    import tomlkit

    try:
        text = tomlkit.dumps(changed)
        text.encode()
    except (UnicodeEncodeError, RecursionError) as problem:
        sentence = f"cannot be written as text ({getattr(problem, 'reason', problem)})"
        raise PosekitError([error("wrong-value", key_path, sentence)]) from problem
    return text


# What tomlkit and Python raise for a key in a number, a name in a list and an entry that is not there.
_WRONG_PLACE = (KeyError, IndexError, TypeError, AttributeError, ValueError)


def _inside(table: Any, part: str | int, *, make: bool) -> Any:
    """What stands there, made as a table where it is missing."""
    import tomlkit
    from tomlkit.items import InlineTable

    if make and isinstance(part, str) and isinstance(table, dict) and part not in table:
        # Braces hold no table under a header of its own.
        table[part] = tomlkit.inline_table() if isinstance(table, InlineTable) else tomlkit.table()
    return table[part]
