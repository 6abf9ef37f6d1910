"""What every linkage answers. A type for checkers to check, not a class to inherit from."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import Field, dataclass
from typing import Any, ClassVar, Literal, Protocol

import numpy as np

from posekit.arrays import Array
from posekit.fields import Vector
from posekit.linkage.bodies import Body
from posekit.transforms import has_direction, unit

Problem = tuple[str, str]
Keys = Mapping[str, Vector | float | None]

LEAST_ACROSS = 1e-3  # sine of the least angle between a direction and the axis that it lies across

ALONE: Array = np.ones((1, 1))  # the mix of a linkage of one drive
ALONE.setflags(write=False)


@dataclass(frozen=True, slots=True)
class Hinge:
    """A driven joint in the frame of its parent link at joint position 0: point [mm], unit axis, whether it slides.

    Of a linkage of several, all are in the frame of the first one's parent link.
    """

    at: Vector = (0.0, 0.0, 0.0)
    axis: Vector = (0.0, 0.0, 1.0)
    slides: bool = False


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
    # Share of the shaft's work that comes out at the joint where the file gives none: common practice for hobby parts,
    # dry or lightly greased (gears and pin joints 0.9 or better, bevel wheels and slides less).
    efficiency: ClassVar[float]

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
        """`position` in one place, with what no shaft angle changes found once; it can be pickled.

        A `Straight` where the joint goes with the shaft in one proportion: many of these are put at once.
        """

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

    def bodies(self, shaft_deg: Array, hinges: Sequence[Hinge]) -> tuple[Body, ...]:
        """What it is made of at P shaft angles: (P,) [deg], or (P, n) of several drives.

        `hinges` are those of its joints, in their order. Where the keys do not say where it lies (`unplaced`), it
        stands about the joint as it may. Lengths are those of the keys at every angle within `closes`.
        """

    def unplaced(self) -> tuple[str, ...]:
        """The keys that would say where it lies, and are left out; none where that is known."""

    def plane(self, hinge: Hinge) -> Vector | None:
        """The unit normal of the plane in which its grips move; None where they move in space, or it has none."""

    def dragged(self, grip: str, to: Array, shaft_deg: float, hinge: Hinge) -> Keys:
        """The keys with which a grip of its bodies lies at `to` (3,) [mm] while the shaft stands at this angle.

        All other grips, and the joint, stay where they are as far as its dimensions let them; a crank that is moved
        with its shaft keeps its length. Lengths are whole tenths of a millimetre, as they are drilled. Nothing for a
        grip that it has not.
        """


def lies_across(direction: Vector | None, hinge: Hinge) -> str:
    """What is wrong with a direction that has to lie across the axis of a joint; nothing where all is well."""
    if direction is None:
        return ""
    if not has_direction(direction):
        return f"= {list(direction)}: has no direction; use for example [1, 0, 0]"
    if np.linalg.norm(np.cross(unit(direction), hinge.axis)) < LEAST_ACROSS:
        return f"= {list(direction)}: lies along the axis of the joint; use one across it"
    return ""
