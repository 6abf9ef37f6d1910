"""What a GLB carries of the prop besides its looks, so that `posekit.load` gives the same prop back.

It stands in `asset.extras.posekit`; `posekit.prop.glb` reads it.
"""

from __future__ import annotations

import json
from typing import Any

import numpy as np

from posekit.mechanism.pose import Pose
from posekit.output.gltf.binary import Binary
from posekit.prop.glb import RECORD_VERSION
from posekit.prop.model import Prop
from posekit.signal.patch import snapshot_of


def record(prop: Prop, state: Pose | None, binary: Binary) -> dict[str, Any]:
    """The prop text, its files as views of the binary chunk, and the pose with the snapshot that gives it."""
    files = [
        # A view holds at least one byte: an empty file has none.
        {"path": path, "bufferView": binary.file(content)} if content else {"path": path}
        for path, content in prop.files.items()
    ]
    carried: dict[str, Any] = {"version": RECORD_VERSION, "prop": prop.text, "files": files}
    if state is not None:
        carried |= {"snapshot": _snapshot(prop, state), "state": _described(state)}
    return carried


def _snapshot(prop: Prop, state: Pose) -> Any:
    """The slot values of the patched addresses, as a snapshot file in JSON has them."""
    return json.loads(snapshot_of(prop, [state.values[drive.name] for drive in prop.drives]).json())


def _described(state: Pose) -> dict[str, Any]:
    """The pose as plain numbers, each the very float64 it was."""
    by_name = {
        quantity: dict(getattr(state, quantity)) for quantity in ("values", "pulses", "shafts", "joints")
    }
    links = {name: np.asarray(frame, float).tolist() for name, frame in state.links.items()}
    # A tuple, because pygltflib drops empty texts, such as that of no subject, from the tables in a list.
    return {**by_name, "links": links, "findings": tuple(finding.as_dict() for finding in state.findings)}
