"""What a builder may have meant otherwise: notes on figures and places that are possible, but mostly a slip.

Each limit is common practice, chosen so that what it catches is far more often a slip than meant. Every note is about
what stands in the prop file and says what would be meant by it; none of them changes what is computed.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from posekit.arrays import Array, Index
from posekit.errors import Finding, note
from posekit.mechanism.joints import Train, trains, unit_of
from posekit.mechanism.kinematics import forward
from posekit.prop.model import Joint, Prop, Servo
from posekit.prop.servo_classes import SOURCE, still_typical
from posekit.prop.shapes import sources
from posekit.text import downward, exact, listed, plain
from posekit.toml.places import Path, dotted
from posekit.transforms import placement, unit

SLOW_DEG_S = 30.0  # 2 s for 60 degrees; the slowest winches of the trade take about 1 s
STRONG_NM = 8.0  # 80 kgf·cm: the strongest of the usual sizes
KGF_CM_NM = 0.0980665  # exact: 9.80665 N at a hundredth of a metre (NIST SP 811)
AT_ZERO = 0.05  # degrees | mm from 0 that no builder could set or see
APART_MM = 5.0  # between two parts on a joint, where no washer or thin bearing takes it
APART_SHARE = 0.2  # and so much of the smaller one's size: figures are often drawn without brackets
FAR_SHARE = 0.5  # of a part's own size, between it and the axis that it turns about
FAR_MM = 10.0  # and at least so far
SIDES = 16  # of the directions across an axis along which a distance from it is measured
# Half of the 26 directions to the faces, edges and corners of a cube; the others are their opposites.
DIRECTIONS = unit(
    [(1, 0, 0), (0, 1, 0), (0, 0, 1)]
    + [(1, s, 0) for s in (1, -1)] + [(1, 0, s) for s in (1, -1)] + [(0, 1, s) for s in (1, -1)]
    + [(1, s, t) for s in (1, -1) for t in (1, -1)]
)  # fmt: skip


def figure_findings(prop: Prop) -> list[Finding]:
    """Notes on servos and linkages by what stands in the prop file; no mesh is read."""
    return [
        *(finding for servo in prop.servos for finding in _servo(servo)),
        *(finding for train in trains(prop) for finding in _not_at_zero(prop, train)),
    ]


def place_findings(prop: Prop) -> list[Finding]:
    """Notes on where the parts stand at position 0 of all joints: far from their joint, or neighbours apart.

    Reads the meshes; raises PosekitError for one that cannot be read.
    """
    world_from_link = forward(prop, np.zeros((1, len(prop.joints))))[0]
    points: list[list[Array]] = [[] for _ in prop.links]
    for row, shape, source in sources(prop):
        extent = shape.form.extent(source)
        place = world_from_link[row] @ placement(shape.at, shape.turn)
        points[row].append(np.column_stack([extent.points @ place[:3, :3].T + place[:3, 3], extent.radius]))
    hulls = {link.name: np.concatenate(own) for link, own in zip(prop.links, points, strict=True) if own}
    joints = [joint for joint in (*prop.joints, *prop.fixed) if joint.child in hulls]
    place_of = dict(zip((link.name for link in prop.links), world_from_link, strict=True))
    return [
        *(finding for joint in joints for finding in _far(joint, place_of[joint.parent], hulls[joint.child])),
        *_apart(joints, hulls),
    ]


def _servo(servo: Servo) -> Iterator[Finding]:
    if typical := still_typical(servo):
        sentence = (
            f"= '{servo.typical}': typical figures ({SOURCE}) stand for {listed(typical)}; put in those of your "
            "data sheet, and take this key out once all are right"
        )
        yield note("typical-figures", dotted(("servos", servo.name, "typical")), sentence)
    speeds: list[tuple[Path, float | None]] = [(("speed",), servo.speed)]
    torques: list[tuple[Path, float | None]] = [(("stall_torque",), servo.stall_torque)]
    for i, (_, fast, strong, _) in enumerate(servo.rated):
        speeds.append((("rated", i, 1), fast))
        torques.append((("rated", i, 2), strong))
    for at, speed in speeds:
        if speed is not None and speed < SLOW_DEG_S:
            meant = f"; if that is the seconds for 60 degrees, write {plain(60 / speed)}" if speed < 3 else ""
            sentence = f"= {exact(speed)}: slower than hobby servos are (deg/s){meant}"
            yield note("slow-servo", dotted(("servos", servo.name, *at)), sentence)
    for at, torque in torques:
        if torque is not None and torque > STRONG_NM:
            sentence = (
                f"= {exact(torque)}: stronger than hobby servos are (N·m); if that is kgf·cm, write "
                f"{plain(torque * KGF_CM_NM)}"
            )
            yield note("strong-servo", dotted(("servos", servo.name, *at)), sentence)


def _not_at_zero(prop: Prop, train: Train) -> Iterator[Finding]:
    """A drive alone whose joint is elsewhere than at 0 when its shaft is."""
    if len(train.drives) > 1 or not train.closes[0] <= 0.0 <= train.closes[1]:
        return
    position = float(train.position(np.zeros(1))[0])
    if abs(position) > AT_ZERO:
        drive, joint = prop.drives[train.drives[0]], prop.joints[train.joints[0]]
        sentence = (
            f"puts '{joint.name}' at {position:.2f} {unit_of(joint)} when the shaft is at 0, where a horn is mostly "
            "fitted for 0; if that is not meant, mend its zero or offset"
        )
        yield note("not-at-zero", dotted(("drives", drive.name, "linkage")), sentence)


def _far(joint: Joint, world_from_parent: Array, hull: Array) -> Iterator[Finding]:
    """A part that turns about an axis which passes far from it."""
    if joint.type != "revolute":  # where the frame of a slide or a fixed joint stands changes nothing
        return
    axis_frame = world_from_parent @ placement(joint.at, joint.turn)
    along = axis_frame[:3, :3] @ unit(joint.axis)
    aside = unit(np.cross(along, np.eye(3)[int(np.argmin(np.abs(along)))]))
    angle = 2 * np.pi * np.arange(SIDES) / SIDES
    across = np.outer(np.cos(angle), aside) + np.outer(np.sin(angle), np.cross(along, aside))
    # Along each direction the hull begins no nearer than this: what lies about the axis on all sides has none.
    away = float((-_support(hull, -across) - across @ axis_frame[:3, 3]).max())
    size = float((_support(hull, DIRECTIONS) + _support(hull, -DIRECTIONS)).max())
    if away > max(FAR_SHARE * size, FAR_MM):
        sentence = (
            f"'{joint.child}' lies {downward(away, 0)} mm or more from the axis it turns about, and "
            f"is itself {size:.0f} mm "
            "large; if that is not meant, place the joint where the bearing is"
        )
        yield note("far-from-joint", dotted(("joints", joint.name)), sentence)


def _apart(joints: list[Joint], hulls: dict[str, Array]) -> Iterator[Finding]:
    """Neighbours on a joint with air between them, which no other part fills."""
    names = list(hulls)
    row = {name: i for i, name in enumerate(names)}
    both = np.concatenate([DIRECTIONS, -DIRECTIONS])
    ends = np.array([_support(hull, both) for hull in hulls.values()]).reshape(len(names), len(both))
    high, low = ends[:, : len(DIRECTIONS)], -ends[:, len(DIRECTIONS) :]
    group = _groups(low, high)
    for joint in joints:
        if joint.parent not in row or group[row[joint.parent]] == group[row[joint.child]]:
            continue
        a, b = row[joint.parent], row[joint.child]
        gap = float(np.maximum(low[a] - high[b], low[b] - high[a]).max())
        sentence = (
            f"'{joint.parent}' and '{joint.child}' do not meet: there are {downward(gap, 0)} mm or "
            "more between them at "
            "position 0, and no other part; if that is not meant, move the part to its joint"
        )
        yield note("apart", dotted(("joints", joint.name)), sentence)


def _groups(low: Array, high: Array) -> Index:
    """A number (n,) for each part, the same for parts that meet, or that parts between them join.

    `low` and `high` (n, F) [mm] are where each begins and ends along the directions.
    """
    group, size = np.arange(len(low)), (high - low).max(axis=1)
    for i in range(len(low)):
        gap = np.maximum(low[i] - high[:i], low[:i] - high[i]).max(axis=1, initial=-np.inf)
        for j in np.flatnonzero(gap <= np.maximum(APART_MM, APART_SHARE * np.minimum(size[i], size[:i]))):
            group[group == group[j]] = group[i]
    return group


def _support(hull: Array, directions: Array) -> Array:
    """How far (F,) [mm] points with radii (n, 4) reach along directions (F, 3)."""
    return np.asarray((hull[:, :3] @ directions.T + hull[:, 3:]).max(axis=0))
