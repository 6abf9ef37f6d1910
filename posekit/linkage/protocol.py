"""What every linkage answers. A type for checkers to check, not a class to inherit from."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import Field, dataclass
from typing import Any, ClassVar, Literal, Protocol

import numpy as np

from posekit.arrays import Array
from posekit.fields import Vector

Problem = tuple[str, str]

ALONE: Array = np.ones((1, 1))  # the mix of a linkage of one drive
ALONE.setflags(write=False)


@dataclass(frozen=True, slots=True)
class Hinge:
    """The driven joint in the frame of its parent link at joint position 0: point [mm], unit axis."""

    at: Vector = (0.0, 0.0, 0.0)
    axis: Vector = (0.0, 0.0, 1.0)


class Linkage(Protocol):
    """Shaft angles in, joint positions out, for a linkage of n drives that moves n joints.

    A linkage of one drive answers elementwise: any shape in, the same shape out. One of several takes
    `(..., n)`, its own drive first and its partners in the order of `partner_keys`, and answers in the order
    of `joint_keys`. Shaft angles are degrees, joint positions degrees or, where `moves` is "slide", mm.
    `hinge` matters only to linkages in space.

    A key that is a vector stands in the frame of the joint's parent link: with a unit it is a point, without one a
    direction. So it can be stated anew where that frame becomes another.

    Whoever asks sees to it that shaft angles are within `closes`, which takes a search and is the same for
    all of them; beyond it an answer means nothing.
    """

    __dataclass_fields__: ClassVar[dict[str, Field[Any]]]
    moves: ClassVar[Literal["turn", "slide"]]
    partner_keys: ClassVar[tuple[str, ...]]  # the keys that name the other drives; none: one drive alone
    joint_keys: ClassVar[tuple[str, ...]]  # the keys that name its joints; none: the joint of its drive

    def problems(self, hinge: Hinge | None = None) -> tuple[Problem, ...]:
        """(key, message) of whatever is wrong with the dimensions beyond the limits of each key.

        A message starts with "= value found: " and ends in what would be right. Without
        `hinge` only what can be told without it. A linkage with problems answers nothing else.
        """

    def closes(self, hinge: Hinge) -> tuple[float, float]:
        """The angles [deg] of each shaft from dead point to dead point, around shaft 0, at which it closes.

        (-inf, inf) if it always does. If shaft 0 itself does not close, the nearest interval that does;
        (nan, nan) if no angle closes.
        """

    def mix(self) -> Array:
        """Joint positions (n, n) for each of its coordinates: what is free to move when all the rest stands.

        A drive alone has its joint's position as coordinate, which no other drive changes: [[1]]. Of several
        drives each has the angle of its shaft [deg], and `position` is `shafts @ mix().T`; the mix can be
        inverted, so that every position of all joints has its shaft angles.
        """

    def position(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """Joint position at each shaft angle, continuous over `closes`."""

    def in_place(self, hinge: Hinge) -> Callable[[Array], Array]:
        """`position` in one place, with what no shaft angle changes found once; it can be pickled."""

    def rate(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """Joint motion per degree of shaft [deg/deg or mm/deg]; its inverse is the mechanical advantage.

        Of several drives the matrix (..., n, n): a row a joint, a column a shaft.
        """

    def zero_at(self, position: float, hinge: Hinge) -> Mapping[str, Vector | float] | None:
        """The keys that make 0 of what is now this joint position, and shift all others with it.

        None if it has no key for that, as of several drives.
        """

    def transmission_angle(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """Angle [deg], 0..90, between the driving rod and what it drives; 90 is best. nan: no rod."""
