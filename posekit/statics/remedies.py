"""What would bring the worst holding torque of a servo down: a spring, or a counterweight, and by how much.

A spring that gives one torque all the way does best about the middle between the most and the least that the joint asks
for. A counterweight on the part that the joint carries takes the place opposite to all that hangs there, with the same
moment; what moves beyond the joint is taken as it stands at rest. What either leaves is proved like the worst case.
"""

from __future__ import annotations

from collections.abc import Callable, Generator
from dataclasses import dataclass, replace

import numpy as np

from posekit.arrays import Array
from posekit.chance import chances
from posekit.fields import Vector
from posekit.mechanism.joints import solve
from posekit.mechanism.kinematics import forward
from posekit.prop.model import Prop
from posekit.signal.calibration import pulses, shafts
from posekit.statics.bodies import M_PER_MM
from posekit.statics.boxes import question
from posekit.statics.burden import KG_PER_G, Burden
from posekit.statics.dynamics import torques
from posekit.statics.shafts import on_leaders
from posekit.statics.ways import Ways
from posekit.statics.worst import never, worst_steps
from posekit.stepwise import finished

LEAST_LEVER_MM = 30.0  # nearer to the axis a counterweight is heavy
LEVER_SHARE = 0.5  # of how far what hangs there has its centre from the axis
POSES = 1024  # over which the middle of what a joint asks for is found
GAIN = 0.9  # of the worst case; what leaves more helps too little to be told


@dataclass(frozen=True, slots=True)
class Spring:
    """A coiled spring on a joint that gives `torque_nm` [N*m] all the way; `most_nm` is what the servo then holds."""

    joint: str
    torque_nm: float
    most_nm: float


@dataclass(frozen=True, slots=True)
class Counterweight:
    """A weight of `mass_g` at `at_mm` in the frame of a part; `most_nm` [N*m] is what the servo then holds."""

    link: str
    mass_g: float
    at_mm: Vector
    most_nm: float


def remedies(
    prop: Prop, ways: Ways, d: int, most_nm: float, stop: Callable[[], bool] = never
) -> tuple[Spring | Counterweight, ...]:
    """What helps the servo of drive `d`, which holds `most_nm` [N*m] at most; nothing where neither does.

    `stop` is as for `worst_of`. Only for a drive that turns a joint alone: shafts that share a linkage share what they
    hold.
    """
    return finished(remedy_steps(prop, ways, d, most_nm, stop))


def remedy_steps(
    prop: Prop, ways: Ways, d: int, most_nm: float, stop: Callable[[], bool] = never
) -> Generator[None, None, tuple[Spring | Counterweight, ...]]:
    """`remedies` in small steps, for callers with other work to do."""
    train = ways.train[d]
    joint = prop.joints[train.joints[0]]
    if len(train.drives) > 1 or joint.type != "revolute":
        return ()
    found: list[Spring | Counterweight] = []
    constant = _spring_torque(prop, ways, d)
    yield
    burden = ways.burden
    more = burden.constant.copy()
    more[train.joints[0]] += constant
    eased = question(prop, replace(ways, burden=replace(burden, constant=more)), d)
    left = (yield from worst_steps(eased, stop)).most_nm
    if left < GAIN * most_nm:
        found.append(Spring(joint.name, constant, left))
    weight = _counterweight(prop, burden, train.joints[0])
    if weight is not None:
        link = [each.name for each in prop.links].index(joint.child)
        yield
        eased = question(prop, replace(ways, burden=_loaded(burden, link, *weight)), d)
        left = (yield from worst_steps(eased, stop)).most_nm
        if left < GAIN * most_nm:
            mass, (x, y, z) = weight[0], weight[1].tolist()
            found.append(Counterweight(joint.child, mass / KG_PER_G, (x, y, z), left))
    return tuple(found)


def _spring_torque(prop: Prop, ways: Ways, d: int) -> float:
    """The middle between the most and the least torque that a joint asks for, with its followers; over many poses."""
    burden = ways.burden
    random = chances(POSES, len(prop.drives))
    random[: POSES // 2] = np.rint(random[: POSES // 2])  # ends as often as what lies between
    position = _positions(prop, burden, np.rint(random * [drive.full_scale for drive in prop.drives]))
    led = on_leaders(burden.mechanism, torques(prop, position, burden), burden.si)[:, ways.train[d].joints[0]]
    return float((led.max() + led.min()) / 2)


def _counterweight(prop: Prop, burden: Burden, column: int) -> tuple[float, Array] | None:
    """Mass [kg] and place (3,) [mm] in the frame of the part that a joint carries; None where all is balanced."""
    rest = _positions(prop, burden, np.array([[drive.rest_value for drive in prop.drives]], float))
    world = forward(prop, rest, burden.mechanism.tree)[0]
    beyond = {next(hung.child for hung in burden.hung if hung.column == column)}
    for hung in reversed(burden.hung):  # from the root out
        if hung.parent in beyond:
            beyond.add(hung.child)
    own = next(hung for hung in burden.hung if hung.column == column)
    frame = world[own.child]
    rows = sorted(beyond)
    places = np.einsum("lij,lj->li", world[rows, :3, :3], burden.centre_mm[rows]) + world[rows, :3, 3]
    moment = frame[:3, :3].T @ (burden.mass_kg[rows] @ (places - frame[:3, 3]))
    moment = moment - own.axis * (own.axis @ moment)
    size, whole = float(np.linalg.norm(moment)), float(burden.mass_kg[rows].sum())
    if size * M_PER_MM < 1e-9:
        return None
    lever = max(LEAST_LEVER_MM, LEVER_SHARE * size / whole)
    # As it is weighed and measured: whole grams and millimetres.
    return max(round(size / lever / KG_PER_G), 1) * KG_PER_G, np.round(-moment / size * lever) + 0.0


def _loaded(burden: Burden, row: int, mass: float, place: Array) -> Burden:
    """The burden with one more mass [kg] at a point (3,) [mm] of the link at a row; at rest its inertia is nothing."""
    masses, centres = burden.mass_kg.copy(), burden.centre_mm.copy()
    masses[row] += mass
    centres[row] = (burden.mass_kg[row] * burden.centre_mm[row] + mass * place) / masses[row]
    return replace(burden, mass_kg=masses, centre_mm=centres)


def _positions(prop: Prop, burden: Burden, values: Array) -> Array:
    """Joint positions (P, J) [deg | mm] at drive values (P, D)."""
    return solve(prop, shafts(prop, pulses(prop, values)), burden.mechanism).position
