"""What a linkage is to do, and what there is to make it of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from posekit.arrays import Array, Truth
from posekit.fields import Vector
from posekit.linkage.advantage import POOR_TRANSMISSION_DEG

# A bar is drilled and a rod is cut to a tenth of a millimetre, a horn is turned to a tenth of a degree
# (common practice): nothing finer is proposed but the zero of the joint, which the horn's fit and the trim give.
STEP_MM = 0.1
STEP_DEG = 0.1
# A reach may fall short of the range wanted by this [deg | mm], and only where a hard stop stands there.
SHORT = 0.1


@dataclass(frozen=True, slots=True)
class Sizes:
    """Lengths [mm] that can be had: those listed, or any from `low` to `high`."""

    low: float
    high: float
    listed: tuple[float, ...] = ()

    def grid(self, count: int) -> Array:
        """All that are listed, or so many from `low` to `high`, evenly apart (by their ratio, if positive)."""
        if self.listed:
            return np.array(self.listed)
        spread = np.geomspace if self.low > 0.0 else np.linspace
        evenly = spread(self.low, self.high, count)
        return np.unique(np.clip(np.round(evenly, 1), self.low, self.high))

    def holds(self, length: Array) -> Truth:
        """Which lengths can be had; a listed one to a thousandth of a millimetre."""
        if self.listed:
            return np.asarray(np.abs(length[..., None] - np.array(self.listed)).min(axis=-1) <= 1e-3)
        return np.asarray((self.low - 1e-9 <= length) & (length <= self.high + 1e-9))

    def away(self, length: float) -> float:
        """How far a length is from the nearest that can be had [mm]."""
        if self.listed:
            return min(abs(length - each) for each in self.listed)
        return max(self.low - length, length - self.high, 0.0)

    def near(self, length: Array) -> Array:
        """What can be had around each length; (N,) to (N, 2). Of a list it is the length itself."""
        if self.listed:
            return np.stack([length, length], axis=-1)
        below = np.floor(length / STEP_MM + 1e-9)
        return np.asarray(np.clip(np.stack([below, below + 1.0], axis=-1) * STEP_MM, self.low, self.high))


def one_of(*lengths: float) -> Sizes:
    """The lengths of a list."""
    return Sizes(min(lengths), max(lengths), tuple(dict.fromkeys(lengths)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A place of the servo in the parent link of the joint, for a push-rod."""

    shaft_at: Vector
    shaft_axis: Vector | None = None  # None: along the joint's axis
    horn_along: float = 0.0  # mm along the shaft from shaft_at to the plane in which the horn ball goes round
    arm_along: float = 0.0  # mm along the joint axis to the plane in which the joint ball goes round


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """What can be bought, drilled and reached. The defaults are common practice for hobby servos."""

    horns: Sizes = Sizes(8.0, 20.0, (8.0, 10.0, 12.5, 15.0, 17.5, 20.0))  # radius of the holes in the horn
    arms: Sizes = Sizes(8.0, 40.0)  # length of the arm on the joint
    rods: Sizes = Sizes(20.0, 150.0)  # from pin to pin, or from ball to ball
    grounds: Sizes = Sizes(20.0, 120.0)  # from the shaft to the joint axis: where the servo may sit
    offsets: Sizes = Sizes(-30.0, 30.0)  # height of a slide above the shaft: where the servo may sit
    teeth: tuple[int, ...] = tuple(range(12, 61))  # of gears, pulleys and pinions
    places: tuple[Place, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """A movement: where the joint is to stand at some angles of the shaft.

    `span` are the shaft's angles [deg] at value 0 and at full scale. At each of `shafts` [deg], n >= 2 of them in the
    order of the span, the joint is to stand at the one of `joints` [deg | mm].
    """

    moves: Literal["turn", "slide"]
    span: tuple[float, float]
    shafts: tuple[float, ...]
    joints: tuple[float, ...]
    travel: tuple[float, float] | None = (
        None  # the shaft's angles at the ends of the servo's own range, as `span`
    )
    stops: tuple[float, float] | None = None  # hard stops, which the reach does not pass
    transmission_deg: float = POOR_TRANSMISSION_DEG  # least angle between rod and arm
    bend: float | None = None  # most that joint over shaft may bend from a line, deg | mm
    branch: Literal["open", "crossed"] | None = (
        None  # which of the two sides of a four-bar or slider-crank; None: either
    )
    within: float = 0.5  # most that the joint may be off a wanted position, deg | mm

    @property
    def wanted(self) -> tuple[float, float]:
        """The range of the joint that the reach is to contain."""
        return min(self.joints), max(self.joints)

    @property
    def contained(self) -> tuple[float, float]:
        """What the reach must contain: the range wanted, a little less where a hard stop stands at its end."""
        least, most = self.wanted
        if self.stops is None:
            return least, most
        first, last = self.stops
        return max(least, min(first + SHORT, most)), min(most, max(last - SHORT, least))

    @property
    def ends(self) -> Array:
        """The first and the last position: shafts and joints (2, 2)."""
        wanted = np.array([self.shafts, self.joints])
        return wanted[:, [0, -1]]

    @property
    def with_middle(self) -> Array:
        """All positions, shafts and joints (2, n), n >= 3: of two also that in the middle of the line between them."""
        wanted = np.array([self.shafts, self.joints])
        return wanted if wanted.shape[1] > 2 else np.insert(wanted, 1, wanted.mean(axis=1), axis=1)

    @property
    def middle(self) -> float:
        """The shaft's angle in the middle of the span [deg]."""
        return (self.span[0] + self.span[1]) / 2.0

    @property
    def way(self) -> float:
        """+1 if the joint rises as the shaft's angle rises, else -1."""
        rise = (self.joints[-1] - self.joints[0]) * (self.shafts[-1] - self.shafts[0])
        return 1.0 if rise > 0.0 else -1.0
