"""Parts as the page lists them: which hangs on which, and what each is made of and weighs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from posekit.bridge.views import FieldView, FindingView


@dataclass(frozen=True, slots=True)
class PartView:
    """One part in the tree: `joint` holds it to `parent`; both are null for the part that carries all others.

    `level` is 1 for that one and one more for each that hangs on it. `path` is where it stands in the prop file.
    """

    name: str
    path: str
    level: int
    parent: str | None
    joint: str | None
    type: Literal["revolute", "prismatic", "fixed"] | None
    shapes: int


@dataclass(frozen=True, slots=True)
class TreeView:
    """All parts, each behind the one it hangs on with all that hangs on that before it."""

    parts: tuple[PartView, ...]


@dataclass(frozen=True, slots=True)
class ShapeView:
    """One shape of a part: `title` says what it is in a few words, `fields` are its keys."""

    path: str
    title: str
    colour: str
    fields: tuple[FieldView, ...]


@dataclass(frozen=True, slots=True)
class PartForm:
    """One part to be edited.

    `mass` says what it weighs and why so, in words; `mass_g` is null where a mesh cannot be read, and `findings` tell
    why. `places` are the parts that it could hang on.
    """

    name: str
    path: str
    fields: tuple[FieldView, ...]
    shapes: tuple[ShapeView, ...]
    mass: str
    mass_g: float | None
    places: tuple[str, ...]
    findings: tuple[FindingView, ...]


@dataclass(frozen=True, slots=True)
class FormView:
    """A form that a new shape can have: the keys of its own, with numbers to begin with."""

    name: str
    doc: str
    fields: tuple[FieldView, ...]


@dataclass(frozen=True, slots=True)
class FormsView:
    """All forms."""

    forms: tuple[FormView, ...]


@dataclass(frozen=True, slots=True)
class GoesView:
    """What goes with a part that is removed, or would name nothing: one row each, empty where it is alone."""

    rows: tuple[str, ...]
