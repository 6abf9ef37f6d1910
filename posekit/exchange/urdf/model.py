"""What a URDF says: data classes in its own words and units: metres, radians, kilograms. Nothing here computes."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

Triple = tuple[float, float, float]
JointType = Literal["revolute", "continuous", "prismatic", "fixed", "floating", "planar"]

ORIGIN: Triple = (0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Pose:
    """Where a frame stands in another: metres, and fixed-axis roll, pitch, yaw in radians."""

    xyz: Triple = ORIGIN
    rpy: Triple = ORIGIN


@dataclass(frozen=True, slots=True)
class Box:
    """Full edge lengths."""

    size: Triple


@dataclass(frozen=True, slots=True)
class Sphere:
    """A sphere about its origin."""

    radius: float


@dataclass(frozen=True, slots=True)
class Cylinder:
    """Along z, centred."""

    radius: float
    length: float


@dataclass(frozen=True, slots=True)
class Capsule:
    """Along z, centred, `length` between the centres of its caps (URDF 1.1)."""

    radius: float
    length: float


@dataclass(frozen=True, slots=True)
class Mesh:
    """A mesh file by its name as written; `scale` may differ by axis, and mirror."""

    filename: str
    scale: Triple = (1.0, 1.0, 1.0)


Geometry = Box | Sphere | Cylinder | Capsule | Mesh


@dataclass(frozen=True, slots=True)
class Solid:
    """A visual or a collision of a link. `colour` is #rrggbb where its material has one."""

    geometry: Geometry
    origin: Pose
    line: int = field(compare=False)
    colour: str | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Link:
    """A rigid part; `mass` where the file has one that is not 0."""

    name: str
    line: int
    mass: float | None = None
    visuals: tuple[Solid, ...] = ()
    collisions: tuple[Solid, ...] = ()


@dataclass(frozen=True, slots=True)
class Mimic:
    """position = multiplier x position of the other joint + offset."""

    joint: str
    multiplier: float = 1.0
    offset: float = 0.0


@dataclass(frozen=True, slots=True)
class Joint:
    """What holds two links together: `axis` in its own frame, `limits` as lower and upper."""

    name: str
    line: int
    type: JointType
    parent: str
    child: str
    origin: Pose = Pose()
    axis: Triple = (1.0, 0.0, 0.0)
    limits: tuple[float, float] | None = None
    mimic: Mimic | None = None


@dataclass(frozen=True, slots=True)
class Robot:
    """All of a file. `passed_over` counts, by tag, what posekit has no use for."""

    name: str
    links: tuple[Link, ...]
    joints: tuple[Joint, ...]
    passed_over: dict[str, int]
