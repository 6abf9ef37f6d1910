"""A posed or moving prop as a GLB (glTF 2.0, ISO/IEC 12113) that any viewer opens. Bytes, never a path."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike

from posekit.arrays import Array
from posekit.mechanism.kinematics import forward
from posekit.mechanism.pose import Pose
from posekit.output.gltf.animation import animations, checked
from posekit.output.gltf.binary import Binary
from posekit.output.gltf.parts import Parts
from posekit.output.gltf.record import record
from posekit.output.gltf.scene import nodes
from posekit.prop.model import Prop


def encode(prop: Prop, state: Pose) -> bytes:
    """GLB of the prop in this pose, carrying prop, snapshot and pose for `posekit.load`."""
    return _glb(prop, state, _world_from_links(prop, state), state.joints)


def picture(prop: Prop, state: Pose) -> bytes:
    """GLB of the prop in this pose to look at only: without the prop inside, a fraction of the size.

    Its normals are rounded, which shading does not show and compression does.
    """
    return _glb(prop, state, _world_from_links(prop, state), state.joints, carried=False)


def animate(prop: Prop, times_s: ArrayLike, positions: ArrayLike, state: Pose | None = None) -> bytes:
    """GLB of the prop with an animation through positions (T, J) [deg | mm] at times (T,) [s].

    Without the animation it stands in `state`, by default in the first positions. Between two times
    every joint moves evenly. Raises PosekitError for times that do not rise or arrays that do not fit.
    """
    times, table = checked(prop, times_s, positions)
    if state is not None:
        return _glb(prop, state, _world_from_links(prop, state), state.joints, (times, table))
    first = {joint.name: float(at) for joint, at in zip(prop.joints, table[0], strict=True)}
    return _glb(prop, None, forward(prop, table[:1])[0], first, (times, table))


def _world_from_links(prop: Prop, state: Pose) -> Array:
    return np.array([state.links[link.name] for link in prop.links], float)


def _glb(
    prop: Prop,
    state: Pose | None,
    world_from_link: Array,
    positions: Mapping[str, float],
    motion: tuple[Array, Array] | None = None,
    *,
    carried: bool = True,
) -> bytes:
    from pygltflib import GLTF2, Asset, Buffer, Scene

    binary = Binary()
    parts = Parts(prop, binary, fine=carried)
    gltf = GLTF2(
        nodes=nodes(prop, parts, world_from_link, positions),
        animations=animations(prop, binary, *motion) if motion else [],
        asset=Asset(generator="posekit", extras={"posekit": record(prop, state, binary)} if carried else {}),
        scene=0,
        scenes=[Scene(name=prop.name, nodes=[0])],
        meshes=parts.meshes,
        materials=parts.materials,
    )
    if not binary.views:
        binary.file(bytes(4))  # pygltflib always writes a buffer, and glTF knows no empty one
    gltf.accessors, gltf.bufferViews = binary.accessors, binary.views
    gltf.buffers = [Buffer(byteLength=len(binary.content))]
    gltf.set_binary_blob(bytes(binary.content))
    return b"".join(gltf.save_to_bytes())


__all__ = ["animate", "encode", "picture"]
