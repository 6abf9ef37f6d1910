"""The text of a prop file for an assembly, as a person would write it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields
from typing import Any

from posekit.authoring.first_drives import keys_of
from posekit.authoring.numbers import STAYS_MM, short_all
from posekit.authoring.servo_types import typical_table
from posekit.fields import Vector
from posekit.prop.model import ORIGIN, Drive, Joint, Shape
from posekit.shape import FORMS, Form
from posekit.toml.places import dotted, quoted


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkText:
    """A link: its mass [g] or None, and its shapes."""

    name: str
    mass: float | None
    shapes: tuple[Shape, ...]


def prop_text(
    name: str,
    said: Sequence[str],
    links: Sequence[LinkText],
    joints: Sequence[Joint],
    drives: Sequence[Drive],
    kind: str,
) -> str:
    """A prop file; `said` are the comments at its top, `kind` the class of servo that all drives have."""
    blocks = ["".join(f"# {line}\n" for line in said) + f"format = 1\nname = {quoted(name)}\n"]
    if drives:
        blocks.append(typical_table(kind, kind))
    blocks += [_block(_link(link)) for link in links]
    blocks += [_block(_joint(joint)) for joint in joints]
    blocks += [_block(_drive(drive)) for drive in drives]
    return "\n".join(blocks)


def _block(lines: Iterator[str]) -> str:
    return "".join(f"{line}\n" for line in lines)


def _link(link: LinkText) -> Iterator[str]:
    yield f"[{dotted(('links', link.name))}]"
    if link.mass is not None:
        yield f"mass = {_number(link.mass)}"
    for shape in link.shapes:
        yield f"[[{dotted(('links', link.name, 'shapes'))}]]"
        yield from _form(shape.form)
        yield from _placed(shape.at, shape.turn)
        yield f"colour = {quoted(shape.colour)}"
        if not shape.solid:
            yield "solid = false"
        if not shape.drawn:
            yield "drawn = false"


def _form(form: Form) -> Iterator[str]:
    (kind,) = (kind for kind, cls in FORMS.items() if type(form) is cls)
    keys = {
        key.name: getattr(form, key.name) for key in fields(form) if getattr(form, key.name) != key.default
    }
    if form.bare is None:
        yield f"{kind} = {_value(keys)}"
        return
    yield f"{kind} = {_value(keys.pop(form.bare))}"
    yield from (f"{key} = {_value(found)}" for key, found in keys.items())


def _placed(at: Vector, turn: Vector) -> Iterator[str]:
    if at != ORIGIN:
        yield f"at = {_value(at)}"
    if turn != ORIGIN:
        yield f"turn = {_value(turn)}"


def _joint(joint: Joint) -> Iterator[str]:
    yield f"[{dotted(('joints', joint.name))}]"
    yield f'type = "{joint.type}"'
    yield f"parent = {quoted(joint.parent)}"
    yield f"child = {quoted(joint.child)}"
    yield from _placed(joint.at, joint.turn)
    if joint.type == "fixed":
        return
    if joint.axis != (0.0, 0.0, 1.0):
        yield f"axis = {_value(joint.axis)}"
    if joint.stops is not None:
        yield f"stops = {_value(joint.stops)}"
    if joint.follow is not None:
        follow = joint.follow
        keys = {"joint": follow.joint, "ratio": follow.ratio, "offset": follow.offset}
        yield f"follow = {_value(keys)}"


def _drive(drive: Drive) -> Iterator[str]:
    yield f"[{dotted(('drives', drive.name))}]"
    yield from (f"{key} = {_value(found)}" for key, found in keys_of(drive).items())


def _value(value: Any) -> str:
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key} = {_value(each)}" for key, each in value.items()) + "}"
    if isinstance(value, tuple):
        return f"[{', '.join(map(_value, value))}]"
    return _number(float(value))


def _number(value: float) -> str:
    return str(short_all([value], STAYS_MM)[0])
