"""The potential energy of a prop at rest: weight by height, springs by their stretch, constant torques by their turn.

Its slope by the position of a joint is what the joint's holder has to give (virtual work), so that it tells which way a
figure falls that nothing holds, and how far it can swing: never to where it would have more than it began with.
"""

from __future__ import annotations

import numpy as np

from posekit.arrays import Array
from posekit.mechanism.kinematics import forward
from posekit.prop.model import Prop
from posekit.statics.bodies import M_PER_MM
from posekit.statics.burden import Burden
from posekit.statics.springs import stretch_mm
from posekit.statics.vectors import at


def potential(prop: Prop, burden: Burden, position: Array) -> Array:
    """Potential energy [J] at joint positions (P, J) [deg | mm], from any zero; (P,)."""
    world = forward(prop, position, burden.mechanism.tree).transpose(1, 2, 3, 0)  # (L, 4, 4, P)
    energy = -(position * burden.si) @ burden.constant
    for i, mass in enumerate(burden.mass_kg.tolist()):
        if mass:
            energy -= mass * M_PER_MM * (burden.gravity @ at(world[i], burden.centre_mm[i]))
    for coil in burden.coils:
        one, other = (at(world[i], end) for i, end in zip(coil.links.tolist(), coil.ends, strict=True))
        stretch = stretch_mm(coil, np.linalg.norm(other - one, axis=0))
        energy += coil.rate_n_mm * stretch**2 / 2 * M_PER_MM
    return np.asarray(energy)
