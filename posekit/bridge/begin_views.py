"""A prop that is about to begin, as its dialog shows it before it is accepted."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from posekit.bridge.views import FindingView


@dataclass(frozen=True, slots=True)
class BroughtPart:
    """One part that was found, its size in words and how many triangles it has."""

    name: str
    size: str
    triangles: int


@dataclass(frozen=True, slots=True)
class BroughtView:
    """A new prop that is on no bench yet.

    `size` is that of the whole figure in words. `units` and `ups` are what may be chosen, empty where the file itself
    says it; `unit` is the one taken, `up` the axis that was chosen, each null where every kind of file has its own.
    `stands` is the part that carries the others, `may_stand` those that could. `lacks` tells what is not done in a
    browser, `files` are those of the prop's folder, `picture` is a GLB to look at.
    """

    name: str
    unit: str | None
    units: tuple[str, ...]
    up: str | None
    ups: tuple[str, ...]
    size: str
    parts: tuple[BroughtPart, ...]
    moving: int
    drives: int
    stands: str
    may_stand: tuple[str, ...]
    findings: tuple[FindingView, ...]
    lacks: tuple[str, ...]
    files: Mapping[str, bytes]
    picture: bytes


@dataclass(frozen=True, slots=True)
class ClassesView:
    """The classes of servo that a new prop can begin with."""

    classes: tuple[str, ...]
