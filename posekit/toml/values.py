"""Values as TOML writes them, on one line."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, time
from typing import Any

import numpy as np

from posekit.budgets import TOML_DEPTH
from posekit.errors import PosekitError, error
from posekit.toml.places import key_of, quoted


def plain(value: Any) -> Any:
    """The value without types of NumPy: numbers, texts, lists and tables alone."""
    return value.tolist() if isinstance(value, (np.generic, np.ndarray)) else value


def written_value(value: Any, key_path: str) -> str:
    """The value as it stands behind `key =`, a mapping as a table in braces.

    Raises PosekitError, with `key_path` as its subject, for what TOML cannot hold or no file can.
    """
    try:
        text = _text_of(value)
        text.encode()
    except UnicodeEncodeError as problem:
        sentence = f"cannot be written as text ({problem.reason})"
        raise PosekitError([error("wrong-value", key_path, sentence)]) from problem
    except (TypeError, ValueError) as problem:
        sentence = f"= {type(value).__name__}: TOML has no such value; use numbers, texts, lists or tables"
        raise PosekitError([error("wrong-value", key_path, sentence)]) from problem
    return text


def _text_of(value: Any, deep: int = 0) -> str:
    """The value `deep` lists and tables within others; ValueError for more than any file may have."""
    value = plain(value)
    if deep > TOML_DEPTH:
        raise ValueError("too deep")
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return repr(value)
    if isinstance(value, (date, datetime, time)):
        return value.isoformat()
    if isinstance(value, (list, tuple)):
        return f"[{', '.join([_text_of(each, deep + 1) for each in value])}]"
    if isinstance(value, Mapping):
        pairs = [f"{key_of(name)} = {_text_of(each, deep + 1)}" for name, each in value.items()]
        return f"{{{', '.join(pairs)}}}"
    raise TypeError(type(value).__name__)
