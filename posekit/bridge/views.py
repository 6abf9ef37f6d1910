"""What crosses the door: plain data in the words and units of the prop file.

Values go by the name of their drive; a drive left out stands at its rest value. Points and matrices
are the one exception to the units: they come and go in the frame of the picture, which is that of glTF
(metres, +Y up, +Z to the front), so that the page draws them as they are. A link keeps its own axes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]
Point = tuple[float, float, float]
Range = tuple[float, float]
Values = Mapping[str, int]
Setting = float | int | str | bool | tuple[Any, ...] | None


@dataclass(frozen=True, slots=True)
class Hello:
    """What runs behind the door."""

    posekit: str
    python: str
    numpy: str


@dataclass(frozen=True, slots=True)
class FindingView:
    """One thing to tell: `text` in full, with its place and subject in words; `alone` where its subject is in sight.

    `drive` names the row it belongs to, where there is one. `place` is its subject in words; `kind` what is the same of
    notes that say the same of several, empty for what is told by itself.
    """

    level: Literal["error", "warning", "note"]
    code: str
    subject: str
    message: str
    text: str
    alone: str
    place: str
    kind: str
    drive: str | None
    file: str | None
    line: int | None


@dataclass(frozen=True, slots=True)
class FieldView:
    """One key of the prop file that can be edited: `path` is what `edit` takes, `label` what people call it.

    `numbers` is how many its value has where that is fixed, such as 3 for a place, left out or not; else 0. `unset` is
    what it means to leave it out, for the empty one of `choices`. `named` is whether those are names of the prop, to be
    shown as they are, and no words of the format.
    """

    path: str
    label: str
    doc: str
    unit: str
    value: Setting
    choices: tuple[str, ...]
    named: bool = False
    numbers: int = 0
    unset: str = "none"


@dataclass(frozen=True, slots=True)
class DriveView:
    """One drive. Values run from 0 to `full_scale`; positions are in the joint's unit.

    `path` is where it stands in the prop file, with quotes where its name needs them.
    `joint_at_end_points` are the positions of `joint` at value 0 and at full scale, all else at rest;
    `blocked` are the stretches of the values at which it presses a joint against a hard stop, each as where it begins
    and ends, in shares of the full scale. `patch` tells universe and address in
    words; `steps` how many values one step of each unit is.
    """

    name: str
    path: str
    servo: str
    joint: str
    linkage: str
    patch: str
    universe: int
    address: int
    bits: Literal[8, 16]
    full_scale: int
    middle: int
    rest: int
    pulse_low: float
    pulse_high: float
    pulse_trim: float
    pulse_range: Range
    joint_at_end_points: Range
    blocked: tuple[Range, ...]
    steps: Mapping[str, int]
    fields: tuple[FieldView, ...]


@dataclass(frozen=True, slots=True)
class JointView:
    """One moving joint. `axis` is a unit vector in the frame of the child link."""

    name: str
    type: Literal["revolute", "prismatic"]
    unit: Literal["deg", "mm"]
    parent: str
    child: str
    stops: Range | None
    drives: tuple[str, ...]
    axis: Point


@dataclass(frozen=True, slots=True)
class ServoView:
    """One servo type."""

    name: str
    fields: tuple[FieldView, ...]


@dataclass(frozen=True, slots=True)
class FeedView:
    """What feeds `drives`: the [supply] of the prop file, which is not `there` yet in some, or one of [supplies].

    `path` is its place in the prop file; `wired` whether that tells of its wire.
    """

    name: str
    path: str
    there: bool
    wired: bool
    drives: tuple[str, ...]
    fields: tuple[FieldView, ...]


@dataclass(frozen=True, slots=True)
class LookView:
    """A stored snapshot of the prop: values by drive."""

    name: str
    file: str
    values: Values


@dataclass(frozen=True, slots=True)
class PropView:
    """A prop as the page shows it. `values` is the pose to start from.

    `receiver` are the keys of what makes pulses of the values. `findings` are those that need no mesh; `check` tells
    all. `drawn` is another text for parts that look otherwise. `told` is what a change did beside what was asked.
    """

    name: str
    text: str
    drives: tuple[DriveView, ...]
    joints: tuple[JointView, ...]
    links: tuple[str, ...]
    servos: tuple[ServoView, ...]
    feeds: tuple[FeedView, ...]
    receiver: tuple[FieldView, ...]
    pairs: tuple[tuple[str, str], ...]
    margin_mm: float
    looks: tuple[LookView, ...]
    values: Values
    findings: tuple[FindingView, ...]
    drawn: str
    told: tuple[FindingView, ...] = ()


@dataclass(frozen=True, slots=True)
class CheckView:
    """All that the open prop has to tell, its meshes looked at, too."""

    findings: tuple[FindingView, ...]


@dataclass(frozen=True, slots=True)
class PoseView:
    """One pose, in the order of the prop's drives (D), joints (J) and links (L).

    `links` is (L, 16): picture_from_link, column by column. `texts` are the values as they are written in each
    unit, (D,) each. `linkages` (B, 3, 3) are the bodies of all linkages, two ends and a mark each, where they were
    asked for.
    """

    values: Values
    texts: Mapping[str, tuple[str, ...]]
    pulses_us: tuple[float, ...]
    shafts_deg: tuple[float, ...]
    joints: tuple[float, ...]
    links: Floats
    linkages: Floats | None
    findings: tuple[FindingView, ...]


@dataclass(frozen=True, slots=True)
class TypedView:
    """A number as it was typed: its value, null where it is none, and what to tell about it, null for nothing."""

    value: int | None
    notice: str | None


@dataclass(frozen=True, slots=True)
class SweepView:
    """A drive from value 0 to full scale in S steps, all else held.

    `positions` are those of its joint; `links` is (S, L, 16) as in a pose; `trace` is (S, 3), the way
    of the outermost point that the joint moves.
    """

    joint: str
    values: tuple[int, ...]
    positions: tuple[float, ...]
    links: Floats
    trace: Floats


@dataclass(frozen=True, slots=True)
class Found:
    """Values that bring a part where it was asked to be, and how far off it stays.

    `off` is in mm for a point, in the joint's unit for a joint. `limits` names what held it back; `target_mm` is
    the point of the prop's world that was aimed at, where it was a point.
    """

    values: Values
    off: float
    target_mm: Point | None
    limits: tuple[str, ...]
    findings: tuple[FindingView, ...]


@dataclass(frozen=True, slots=True)
class SnapshotView:
    """Values read from a snapshot; a drive the snapshot does not name keeps the value it had."""

    values: Values
    findings: tuple[FindingView, ...]


@dataclass(frozen=True, slots=True)
class LeftOutView:
    """What is not checked of some pairs of parts, and why; pairs with one reason and one part in common are one row."""

    parts: str
    why: str


@dataclass(frozen=True, slots=True)
class FileView:
    """A file to hand to the builder."""

    name: str
    type: str
    data: bytes
