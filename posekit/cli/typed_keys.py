"""Keys and values as they are typed on the command line: `travel=180`, `pulse.low=1100`, `speed="0.16 s/60deg"`."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import fields
from typing import Any

from posekit.authoring.data_sheet import figure, has_units
from posekit.authoring.new_drive import DATA_SHEET_DIGITS
from posekit.authoring.numbers import to_figures
from posekit.errors import PosekitError, error
from posekit.prop.model import Drive, Servo
from posekit.toml.places import Path, dotted, parse
from posekit.toml.reading import tables

# Keys that may be typed in the units of data sheets, by table: their unit in the prop file, and whether 0 is one.
_FIGURES = {
    (table, key.name): (key.metadata["unit"], key.metadata["above"] is None)
    for table, kind in (("servos", Servo), ("drives", Drive))
    for key in fields(kind)
    if has_units(key.metadata.get("unit", ""))
}


def typed_keys(words: Iterable[str], table: Path = ()) -> dict[Path, Any]:
    """Key paths below `table` and their values, of words KEY=VALUE.

    A value is as TOML has it; what is none is taken as a text, and a torque, speed or current of a servo may have the
    unit of its data sheet. Raises PosekitError.
    """
    found: dict[Path, Any] = {}
    for word in words:
        name, sign, value = word.partition("=")
        path = parse(name.strip())
        if not sign or not path:
            raise PosekitError([error("wrong-use", word, "is not KEY=VALUE; write for example travel=180")])
        found[path] = _value(value.strip(), (*table, *path))
    return found


def nested(keys: dict[Path, Any]) -> dict[str, Any]:
    """Key paths as tables within tables: `pulse.low` and `pulse.high` as `{"pulse": {"low": ..., "high": ...}}`.

    Raises PosekitError for a key below one that has a value, and for an item of a list, which is not there yet.
    """
    top: dict[str, Any] = {}
    for path, value in keys.items():
        if not all(isinstance(part, str) for part in path):
            sentence = (
                "is an item of a list that is not there yet; give all of it, as shapes=[{box=[10,20,30]}]"
            )
            raise PosekitError([error("wrong-use", dotted(path), sentence)])
        table = top
        for part in path[:-1]:
            table = table.setdefault(str(part), {})
            if not isinstance(table, dict):
                raise PosekitError([error("wrong-use", dotted(path), "is given a value and keys of its own")])
        table[str(path[-1])] = value
    return top


def _value(typed: str, path: Path) -> Any:
    try:
        return tables(f"value = {typed}\n", "value")["value"]
    except (PosekitError, KeyError):
        if len(path) != 3 or (key := (str(path[0]), str(path[-1]))) not in _FIGURES:
            return typed
        unit, nought = _FIGURES[key]
        return to_figures(figure(typed, unit, dotted(path), nought=nought), DATA_SHEET_DIGITS)
