"""All that pulls at the links of a prop at rest, and on which joints it hangs: found once for all poses."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass, field

import numpy as np

from posekit.arrays import Array, Index
from posekit.mechanism.joints import Mechanism, mechanism_of
from posekit.mechanism.mass import LinkMass, mass_steps
from posekit.mechanism.tree import joints_root_first
from posekit.prop.model import Prop
from posekit.shape.bulk import about
from posekit.statics.bodies import M_PER_MM, Bodies, Hung, bodies_of
from posekit.stepwise import finished
from posekit.transforms import placement, unit

STANDARD_GRAVITY = 9.80665  # m/s2: the conventional value (ISO 80000-3), within 0.3 % anywhere on the ground
KG_PER_G = 1e-3
TURN, SLIDE = float(np.pi / 180), M_PER_MM  # radians a degree, metres a millimetre


@dataclass(frozen=True, slots=True)
class Coil:
    """A straight spring: rows of the links of its two ends (2,), their places there (2, 3) [mm], and what it does."""

    links: Index
    ends: Array
    rate_n_mm: float
    free_mm: float
    pushes: bool


@dataclass(frozen=True, slots=True)
class Burden:
    """What all poses of a prop have in common for forces.

    `mass_kg` (L,), `centre_mm` (L, 3) and `inertia_kgm2` (L, 3, 3), about the centre, are in the frames of the links
    with what they carry; `gravity` (3,) [m/s2] is in the world. `hung` are the joints, leaves first. `constant` (J,)
    [N*m | N] is what springs give at every position, `si` (J,) the radians or metres in a degree or mm of each joint.
    `bodies` is what follows from all that for recursive Newton-Euler.
    """

    mechanism: Mechanism
    mass_kg: Array
    centre_mm: Array
    inertia_kgm2: Array
    gravity: Array
    hung: tuple[Hung, ...]
    coils: tuple[Coil, ...]
    constant: Array
    si: Array
    bodies: Bodies = field(init=False)

    def __post_init__(self) -> None:
        made = bodies_of(self.hung, self.mass_kg, self.centre_mm, self.inertia_kgm2)
        object.__setattr__(self, "bodies", made)


def burden_of(prop: Prop) -> Burden:
    """The burden of a prop. Reads the meshes; raises PosekitError for one that cannot be read."""
    return finished(burden_steps(prop))


def burden_steps(prop: Prop) -> Generator[None, None, Burden]:
    """`burden_of` in small steps of a link each, for callers with other work to do."""
    own = yield from mass_steps(prop)
    row = {link.name: i for i, link in enumerate(prop.links)}
    column = {joint.name: j for j, joint in enumerate(prop.joints)}
    links = [_loaded(prop, link.name, each) for link, each in zip(prop.links, own, strict=True)]
    hung = [
        Hung(
            row[joint.parent],
            row[joint.child],
            column.get(joint.name, -1),
            joint.type == "prismatic",
            unit(joint.axis),
            placement(joint.at, joint.turn),
        )
        for joint in reversed(joints_root_first(prop))
    ]
    coils = [
        Coil(
            np.array([row[spring.link], row[spring.other]]),
            np.array([spring.at, spring.other_at], float),
            spring.rate,
            spring.free,
            spring.pushes,
        )
        for spring in prop.springs
    ]
    return Burden(
        mechanism=mechanism_of(prop),
        mass_kg=np.array([each.mass_g for each in links]) * KG_PER_G,
        centre_mm=np.array([each.centre_mm for each in links]).reshape(-1, 3),
        inertia_kgm2=np.array([each.inertia_gmm2 for each in links]).reshape(-1, 3, 3)
        * (KG_PER_G * M_PER_MM**2),
        gravity=STANDARD_GRAVITY * unit(prop.gravity.down),
        hung=tuple(hung),
        coils=tuple(coils),
        constant=np.array([joint.torque for joint in prop.joints], float),
        si=np.array([SLIDE if joint.type == "prismatic" else TURN for joint in prop.joints], float),
    )


def _loaded(prop: Prop, link: str, own: LinkMass) -> LinkMass:
    """Mass, centre and inertia of a link with its loads, each a mass at a point."""
    points = [(own.mass_g, own.centre_mm)]
    points += [(load.mass, np.array(load.at, float)) for load in prop.loads if load.link == link]
    total = sum(mass for mass, _ in points)
    if len(points) == 1 or total == 0.0:
        return own
    centre = sum((mass / total * at for mass, at in points), np.zeros(3))
    inertia = own.inertia_gmm2 + sum(
        (mass * about(np.outer(at - centre, at - centre)) for mass, at in points), np.zeros((3, 3))
    )
    return LinkMass(total, centre, own.volume_cm3, inertia)
