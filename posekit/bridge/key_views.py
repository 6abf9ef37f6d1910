"""Keys of the prop file as the page edits them, read off the data classes that declare them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields
from typing import Any, Literal, get_args, get_origin

from posekit.bridge import words
from posekit.bridge.views import FieldView
from posekit.fields import is_key, types_of
from posekit.mechanism.joints import unit_of
from posekit.prop.model import Joint


def field_views(
    declared: Any, place: str, within: tuple[str, ...] = (), joint: Joint | None = None
) -> Iterator[FieldView]:
    """One view for each key that a data class declares; `within` are the keys to it from its drive, servo or part.

    `joint` is the one in whose unit a key counts that does so in degrees or mm.
    """
    kind: type = type(declared)
    hints = types_of(kind)
    for field in fields(declared):
        if is_key(field):
            about = field.metadata
            yield FieldView(
                path=f"{place}.{field.name}",
                label=words.label((*within, field.name)),
                doc=words.doc(about["doc"]),
                unit=unit_of(joint) if joint and about["unit"] == "deg or mm" else about["unit"],
                value=getattr(declared, field.name),
                choices=_words(hints[field.name]),
                numbers=_numbers(hints[field.name]),
            )


def _numbers(hint: Any) -> int:
    """How many numbers a key takes at once; 0 where that is free, or one."""
    options = (hint, *(get_args(hint) if get_origin(hint) is not tuple else ()))
    return max(
        (len(args) for each in options if (args := get_args(each)) and set(args) == {float}), default=0
    )


def _words(hint: Any) -> tuple[str, ...]:
    """The words that a key can be, an empty one where it may be left out; none where it is a number or a text."""
    options = get_args(hint)
    inner = next((option for option in options if get_origin(option) is Literal), None)
    if inner is not None:
        return ("", *_words(inner))
    if get_origin(hint) is not Literal:
        return ()
    return tuple(option for option in options if isinstance(option, str))
