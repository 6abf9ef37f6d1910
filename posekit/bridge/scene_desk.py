"""The open prop as a GLB, to draw or to keep: each public method of `SceneDesk` is one request of the page."""

from __future__ import annotations

from posekit.bridge.views import FileView, Values
from posekit.bridge.workbench import Workbench, row
from posekit.output import gltf
from posekit.pipeline import rest

GLB_TYPE = "model/gltf-binary"  # registered with IANA


class SceneDesk:
    """The figure for the picture, and for other programs."""

    def __init__(self, workbench: Workbench) -> None:
        self._workbench = workbench

    def scene(self) -> FileView:
        """The open prop as GLB for the picture: one node a link, named after it, at the rest values."""
        prop = self._workbench.prop
        return FileView(f"{prop.name}.glb", GLB_TYPE, gltf.picture(prop, rest(prop)))

    def glb(self, values: Values) -> FileView:
        """The prop in this pose as a GLB to keep; it can be opened again."""
        prop = self._workbench.prop
        content = gltf.encode(prop, self._workbench.posed(row(prop, values)))
        return FileView(f"{prop.name}.glb", GLB_TYPE, content)
