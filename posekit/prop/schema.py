"""JSON Schema of the prop file, made from the data classes, so that editors complete and check it."""

from __future__ import annotations

import types
from dataclasses import MISSING, Field, fields, is_dataclass
from typing import Any, Literal, Union, get_args, get_origin

from posekit.fields import is_key, types_of
from posekit.linkage import LINKAGES
from posekit.prop.model import (
    Clearance,
    Drive,
    Follow,
    Gravity,
    Joint,
    Link,
    Load,
    Prop,
    Pulse,
    Receiver,
    Servo,
    Shape,
    Spring,
    Supply,
    Wire,
)
from posekit.shape import FORMS

Schema = dict[str, Any]

_SCALARS: dict[Any, Schema] = {
    float: {"type": "number"},
    int: {"type": "integer"},
    str: {"type": "string", "minLength": 1},
    bool: {"type": "boolean"},
}


def schema() -> Schema:
    """The JSON Schema (draft 2020-12) of a prop file. What holds between its parts only the reader can tell."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "posekit prop file",
        "type": "object",
        "additionalProperties": False,
        "required": ["format", "name", "links"],
        "properties": {
            "format": {"const": Prop.format, "description": "version of this format"},
            "name": {"type": "string", "minLength": 1, "description": "name of the prop"},
            "supply": _table(Supply, wire=_table(Wire)),
            "supplies": _named(_table(Supply, wire=_table(Wire))),
            "receiver": _table(Receiver),
            "gravity": _table(Gravity),
            "servos": _named(_table(Servo)),
            "links": _named(_table(Link, shapes={"type": "array", "items": _shape()})),
            "joints": _named(_table(Joint, follow=_table(Follow))),
            "drives": _named(_table(Drive, pulse=_table(Pulse), linkage=_linkage())),
            "loads": _named(_table(Load)),
            "springs": _named(_table(Spring)),
            "clearance": _table(Clearance),
        },
    }


def _named(table: Schema) -> Schema:
    return {"type": "object", "additionalProperties": table}


def _table(cls: type, **parts: Schema) -> Schema:
    """A table with the keys of a data class; `parts` are its sub-tables."""
    hints = types_of(cls)
    declared = [declaration for declaration in fields(cls) if is_key(declaration)]
    properties = {
        declaration.name: _described(hints[declaration.name], declaration) for declaration in declared
    }
    described: Schema = {
        "type": "object",
        "additionalProperties": False,
        "properties": {**properties, **parts},
    }
    required = [declaration.name for declaration in declared if declaration.default is MISSING]
    if required:
        described["required"] = required
    if cls.__doc__:
        described["description"] = cls.__doc__.splitlines()[0]
    return described


def _described(hint: Any, declaration: Field[Any]) -> Schema:
    limits = declaration.metadata
    unit = f" [{limits['unit']}]" if limits["unit"] else ""
    described = {**_type(hint, _bounds(limits)), "description": f"{limits['doc']}{unit}"}
    if declaration.default not in (MISSING, None):
        default = declaration.default
        described["default"] = list(default) if isinstance(default, tuple) else default
    return described


def _bounds(limits: Any) -> Schema:
    keywords = {"above": "exclusiveMinimum", "least": "minimum", "most": "maximum"}
    return {keyword: limits[key] for key, keyword in keywords.items() if limits[key] is not None}


def _type(hint: Any, bounds: Schema) -> Schema:
    origin, arguments = get_origin(hint), get_args(hint)
    if origin in (Union, types.UnionType):
        return _type(next(option for option in arguments if option is not type(None)), bounds)
    if origin is Literal:
        return {"enum": list(arguments)}
    if origin is tuple and arguments[-1] is Ellipsis:
        return {"type": "array", "items": _type(arguments[0], bounds)}
    if origin is tuple:
        size = len(arguments)
        items = _type(arguments[0], bounds)
        return {"type": "array", "items": items, "minItems": size, "maxItems": size}
    return {**_SCALARS[hint], **(bounds if hint in (float, int) else {})}


def _shape() -> Schema:
    """A shape is exactly one of the forms, with the keys that place it."""
    common = _table(Shape)
    forms: dict[str, Schema] = {}
    for name, cls in FORMS.items():
        table = _table(cls)
        if cls.bare is None:
            forms[name] = {name: table}
        else:
            forms[name] = {name: table["properties"].pop(cls.bare), **table["properties"]}
    return {
        "oneOf": [
            {**common, "properties": {**keys, **common["properties"]}, "required": [name]}
            for name, keys in forms.items()
        ]
    }


def _linkage() -> Schema:
    """One of the linkages, told apart by `type`; without it the linkage is direct."""
    options: list[Schema] = []
    for name, cls in LINKAGES.items():
        assert is_dataclass(cls)
        table = _table(cls)
        table["properties"] = {"type": {"const": name}, **table["properties"]}
        table["required"] = [*([] if name == "direct" else ["type"]), *table.get("required", [])]
        options.append(table)
    return {"oneOf": options}
