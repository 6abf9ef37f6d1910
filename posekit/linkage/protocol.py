"""What every linkage answers. A type for checkers to check, not a class to inherit from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Literal, Protocol

from posekit.arrays import Array
from posekit.fields import Vector

Problem = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Hinge:
    """The driven joint in the frame of its parent link at joint position 0: point [mm], unit axis."""

    at: Vector = (0.0, 0.0, 0.0)
    axis: Vector = (0.0, 0.0, 1.0)


class Linkage(Protocol):
    """Shaft angles in, joint positions out.

    Arrays are `(..., n)` in and out, n being the number of drives (and joints) of the linkage: 2 for a
    differential, 1 for all others, whose functions are elementwise. Shaft angles are degrees, joint
    positions degrees or, where `moves` is "slide", mm. `hinge` matters only to linkages in space.

    Whoever asks sees to it that shaft angles are within `closes`, which takes a search and is the same for
    all of them; beyond it an answer means nothing.
    """

    moves: ClassVar[Literal["turn", "slide"]]

    def problems(self, hinge: Hinge | None = None) -> tuple[Problem, ...]:
        """(key, message) of whatever is wrong with the dimensions beyond the limits of each key.

        A message starts with "= value found: " and ends in what would be right. Without
        `hinge` only what can be told without it. A linkage with problems answers nothing else.
        """

    def closes(self, hinge: Hinge) -> tuple[float, float]:
        """The shaft angles [deg] from dead point to dead point, around shaft 0, at which the linkage closes.

        (-inf, inf) if it always does. If shaft 0 itself does not close, the nearest interval that does;
        (nan, nan) if no angle closes.
        """

    def position(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """Joint position at each shaft angle, continuous over `closes`."""

    def rate(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """Joint motion per degree of shaft [deg/deg or mm/deg]; its inverse is the mechanical advantage."""

    def transmission_angle(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """Angle [deg], 0..90, between the driving rod and what it drives; 90 is best. nan: no rod."""
