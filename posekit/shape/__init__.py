"""What links are made of. One file a form: its keys, and all that is asked of it.

A form is geometry alone; it knows no prop and no link. `FORMS` is the only place that lists them: a new
form is one file here, one line below, and its test.
"""

from __future__ import annotations

from posekit.shape.box import Box
from posekit.shape.bulk import Bulk
from posekit.shape.capsule import Capsule
from posekit.shape.cylinder import Cylinder
from posekit.shape.mesh import Mesh
from posekit.shape.protocol import Core, Extent, Form, Source, Triangles
from posekit.shape.sphere import Sphere

FORMS: dict[str, type[Form]] = {
    "box": Box,
    "sphere": Sphere,
    "cylinder": Cylinder,
    "capsule": Capsule,
    "mesh": Mesh,
}

__all__ = [
    "FORMS",
    "Box",
    "Bulk",
    "Capsule",
    "Core",
    "Cylinder",
    "Extent",
    "Form",
    "Mesh",
    "Source",
    "Sphere",
    "Triangles",
]
