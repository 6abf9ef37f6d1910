"""Changes to the text of a TOML file, its comments and order as the builder wrote them."""

from __future__ import annotations

from typing import Any

import numpy as np

from posekit.errors import PosekitError, error
from posekit.toml.places import parse


def set_key(text: str, key_path: str, value: Any) -> str:
    """The text with one key changed; tables on the way are made where missing, None removes the key.

    `key_path` is as in messages: `drives.jaw.pulse.low`, `links.body.shapes[0].colour`,
    `drives."arm.left".address`. Numbers of NumPy and arrays are taken as such. Raises PosekitError for a key
    that cannot stand there and for a value that TOML cannot hold.
    """
    import tomlkit  # only edits need it
    from tomlkit.items import InlineTable

    document = tomlkit.parse(text)
    *way, last = parse(key_path) or ("",)
    if isinstance(value, (np.generic, np.ndarray)):
        value = value.tolist()
    table: Any = document
    for part in way:
        try:
            if isinstance(part, str) and part not in table:
                # Braces hold no table under a header of its own.
                inside = isinstance(table, InlineTable)
                table[part] = tomlkit.inline_table() if inside else tomlkit.table()
            table = table[part]
        except (KeyError, IndexError, TypeError) as problem:
            raise PosekitError([error("unknown-key", key_path, "is not in the prop file")]) from problem
    try:
        if value is None:
            table.pop(last, None)
        else:
            table[last] = value
    except (KeyError, IndexError, TypeError, AttributeError, ValueError) as problem:
        raise PosekitError([error("unknown-key", key_path, "cannot be set in the prop file")]) from problem
    changed = tomlkit.dumps(document)
    try:
        changed.encode()
    except UnicodeEncodeError as problem:
        sentence = f"cannot be written as text ({problem.reason})"
        raise PosekitError([error("wrong-value", key_path, sentence)]) from problem
    return changed
