"""What a prop is: frozen data classes in the words and units of the prop file. Nothing here computes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import ClassVar, Literal

from posekit.fields import LONGEST_PULSE_US, MOST_TURN_DEG, Vector, key
from posekit.linkage import Direct, Linkage
from posekit.shape import Form

ORIGIN: Vector = (0.0, 0.0, 0.0)
LONGEST_AXIS = 1e150  # its square is a number still
OnLoss = Literal["hold", "rest", "release"]
ServoClass = Literal["sub_micro", "micro", "low_profile", "standard", "high_torque", "large"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wire:
    """The pair of copper wires from the supply to the servos."""

    length: float = key("from the supply to the servos, one way", unit="mm", above=0)
    area: float = key("cross-section of one of the two", unit="mm2", above=0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """A supply: [supply] feeds all servos but those whose drives name one of [supplies]."""

    name: str = ""
    voltage: float = key("voltage at the servos, or at the supply where its wire is given", unit="V", above=0)
    current: float = key("current it can give all the time", unit="A", above=0)
    wire: Wire | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Receiver:
    """What makes servo pulses of the values."""

    on_loss: OnLoss | None = key(
        "what drives do when values stop coming, where they say nothing of their own: hold, rest or release, as for "
        "a drive; the receiver's manual tells. Default: not known",
        default=None,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Gravity:
    """Which way is down, for a prop that hangs or lies."""

    down: Vector = key(
        "direction in which things fall, in the frame of the root part; its length does not matter",
        default=(0.0, 0.0, -1.0),
        least=-LONGEST_AXIS,
        most=LONGEST_AXIS,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Servo:
    """A type of servo, from its data sheet."""

    name: str
    pulse_range: tuple[float, float] = key(
        "pulse widths the servo accepts",
        unit="µs",
        default=(500.0, 2500.0),
        above=0,
        most=LONGEST_PULSE_US,
    )
    travel: float = key(
        "turn of the shaft over pulse_range", unit="deg", default=180.0, above=0, most=MOST_TURN_DEG
    )
    reverse: bool = key("true: the shaft turns the other way as the pulse grows", default=False)
    points: tuple[tuple[float, float], ...] = key(
        "measured (µs, degrees) pairs, pulse rising; they replace travel", default=()
    )
    voltage: tuple[float, float] | None = key("voltage it may be fed with", unit="V", default=None, above=0)
    speed: float | None = key("speed of the shaft without load", unit="deg/s", default=None, above=0)
    stall_torque: float | None = key("torque at which the shaft stops", unit="N*m", default=None, above=0)
    stall_current: float | None = key("current it draws when stalled", unit="A", default=None, above=0)
    idle_current: float | None = key("current it draws at rest", unit="A", default=None, least=0)
    rated: tuple[tuple[float, float, float, float], ...] = key(
        "figures by voltage as the data sheet gives them, voltage rising: (V, deg/s, N*m, A stalled); torque and "
        "current for a supply's voltage lie between them",
        default=(),
        above=0,
    )
    friction: float | None = key(
        "torque that its gears hold without power, measured at the shaft", unit="N*m", default=None, least=0
    )
    deadband: float = key("change of pulse it does not answer", unit="µs", default=0.0, least=0)
    typical: ServoClass | None = key(
        "class whose typical figures stand here until those of the data sheet do; take it out to confirm them",
        default=None,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """One form, placed in the frame of its link."""

    form: Form
    at: Vector = key("place in the link frame", unit="mm", default=ORIGIN)
    turn: Vector = key("fixed-axis roll, pitch, yaw", unit="deg", default=ORIGIN)
    colour: str = key("colour as #rrggbb", default="#9aa3ad")
    solid: bool = key("false: drawn, but left out of clearance", default=True)
    drawn: bool = key("false: not drawn; there for clearance and mass", default=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """A rigid part."""

    name: str
    mass: float | None = key(
        "mass; default: density times volume of the shapes", unit="g", default=None, least=0
    )
    density: float = key("density, where mass is not given", unit="g/cm3", default=1.0, above=0)
    shapes: tuple[Shape, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """A mass at a point of a part: a held object, a costume, a counterweight."""

    name: str
    link: str = key("part that carries it", names="links")
    mass: float = key("mass", unit="g", least=0)
    at: Vector = key("its centre of mass in the link frame", unit="mm", default=ORIGIN)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spring:
    """A straight spring between a point of one part and a point of another."""

    name: str
    link: str = key("part that it is hooked to", names="links")
    at: Vector = key("its end in the frame of that part", unit="mm", default=ORIGIN)
    other: str = key("part at its other end", names="links")
    other_at: Vector = key("its end in the frame of the other part", unit="mm", default=ORIGIN)
    rate: float = key("force for a millimetre of stretch", unit="N/mm", least=0)
    free: float = key("length at which it gives no force", unit="mm", default=0.0, least=0)
    pushes: bool = key(
        "true: where it is shorter than free it pushes; false: there it is slack", default=False
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Follow:
    """A joint that goes with another joint instead of a drive: ratio x position + offset."""

    joint: str = key("the joint that leads", names="joints")
    ratio: float = key("position of this joint per position of the other", default=1.0)
    offset: float = key("position of this joint where the other stands at 0", unit="deg or mm", default=0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """What holds two links together."""

    name: str
    type: Literal["revolute", "prismatic", "fixed"] = key("kind of joint")
    parent: str = key("link that carries the joint", names="links")
    child: str = key("link that moves", names="links")
    at: Vector = key("joint frame in the parent link at position 0", unit="mm", default=ORIGIN)
    turn: Vector = key("fixed-axis roll, pitch, yaw of the joint frame", unit="deg", default=ORIGIN)
    axis: Vector = key(
        "axis in the joint frame; its length does not matter",
        default=(0.0, 0.0, 1.0),
        least=-LONGEST_AXIS,
        most=LONGEST_AXIS,
    )
    stops: tuple[float, float] | None = key("hard stops", unit="deg or mm", default=None)
    follow: Follow | None = None
    torque: float = key(
        "what a coiled spring or a weight on a cord gives at every position; positive pushes the joint forward",
        unit="N*m or N",
        default=0.0,
    )
    zone: float | None = key(
        "radius about the axis within which the two links may touch, the bearing; default: found from what "
        "touches at 0",
        unit="mm",
        default=None,
        above=0,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Pulse:
    """End points and trim."""

    low: float = key(
        "pulse at value 0; low above high reverses",
        unit="µs",
        default=1000.0,
        above=0,
        most=LONGEST_PULSE_US,
    )
    high: float = key("pulse at full scale", unit="µs", default=2000.0, above=0, most=LONGEST_PULSE_US)
    trim: float = key("shift of the middle pulse; end points stay", unit="µs", default=0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Drive:
    """One servo with its patch, calibration, motion limits and linkage."""

    name: str
    servo: str = key("servo type, a name under [servos]", names="servos")
    supply: str | None = key(
        "supply that feeds it, a name under [supplies]; default: [supply]", default=None, names="supplies"
    )
    joint: str | None = key(
        "joint it moves; may be left out where a differential names it", default=None, names="joints"
    )
    universe: int = key("universe", default=1, least=1, most=63999)
    address: int = key("address of the value, or of its coarse byte", least=1, most=512)
    bits: Literal[8, 16] = key("8, or 16: address is coarse, address + 1 is fine", default=8)
    pulse: Pulse = field(default_factory=Pulse)
    speed: float | None = key(
        "speed limit at the shaft; default: the servo's speed", unit="deg/s", default=None, above=0
    )
    acceleration: float | None = key("acceleration limit at the shaft", unit="deg/s2", default=None, above=0)
    rest: int | None = key(
        "value before the first frame; default: the middle", default=None, least=0, most=65535
    )
    efficiency: float | None = key(
        "share of the servo's work that its linkage passes on; default: common practice for its kind",
        default=None,
        above=0,
        most=1,
    )
    on_loss: OnLoss | None = key(
        "what it does when values stop coming: hold keeps the last value, rest goes to the rest value, release stops "
        "the pulses, so that the servo lets go; default: that of [receiver]",
        default=None,
    )
    linkage: Linkage = field(default_factory=Direct)

    @property
    def full_scale(self) -> int:
        """Largest value: 255 or 65535."""
        return (1 << self.bits) - 1

    @property
    def middle(self) -> int:
        """Middle value: 128 or 32768."""
        return 1 << (self.bits - 1)

    @property
    def rest_value(self) -> int:
        """The value before the first frame."""
        return self.middle if self.rest is None else self.rest


@dataclass(frozen=True, slots=True, kw_only=True)
class Clearance:
    """What is near enough to tell, and which pairs may touch."""

    margin: float = key("a clearance below this is reported", unit="mm", default=2.0, least=0)
    ignore: tuple[tuple[str, str], ...] = key("pairs of links left out", default=(), names="links")


@dataclass(frozen=True, slots=True, kw_only=True)
class Prop:
    """A whole prop. `joints` are the moving ones (axis J); `fixed` are the others. `supply` feeds each drive that names
    none of `supplies`.

    `text` is the prop file as the builder wrote it and `files` what stands beside it (meshes, looks),
    by path from the prop folder: nothing after the reader opens a file.
    """

    format: ClassVar[int] = 1

    name: str
    supply: Supply | None
    servos: tuple[Servo, ...]
    links: tuple[Link, ...]
    joints: tuple[Joint, ...]
    fixed: tuple[Joint, ...]
    drives: tuple[Drive, ...]
    clearance: Clearance
    text: str
    files: Mapping[str, bytes]
    receiver: Receiver = field(default_factory=Receiver)
    gravity: Gravity = field(default_factory=Gravity)
    loads: tuple[Load, ...] = ()
    springs: tuple[Spring, ...] = ()
    supplies: tuple[Supply, ...] = ()

    def on_loss(self, drive: Drive) -> OnLoss | None:
        """What a drive does when values stop coming; None where the file does not say."""
        return drive.on_loss or self.receiver.on_loss
