"""What can be asked through the door: each public method of `Workbench` is one request that the page can make."""

from __future__ import annotations

import platform
from collections.abc import Mapping
from typing import Literal

import numpy as np

import posekit
from posekit.bridge.views import (
    ClearanceView,
    FileView,
    Found,
    Hello,
    Point,
    PoseView,
    PropView,
    Setting,
    SnapshotView,
    SweepView,
    Values,
)


class Workbench:
    """One open prop and the questions that can be asked about it."""

    def hello(self) -> Hello:
        """Name the versions that run here; the page compares the first with its own."""
        return Hello(posekit=posekit.__version__, python=platform.python_version(), numpy=np.__version__)

    def open(self, files: Mapping[str, bytes], name: str) -> PropView:
        """Open a prop from the files of its folder, by path from that folder; `prop.toml` is one of them."""
        raise NotImplementedError

    def open_glb(self, glb: bytes, name: str) -> PropView:
        """Open the prop inside a GLB that posekit wrote, in the pose it was written in."""
        raise NotImplementedError

    def files(self) -> Mapping[str, bytes]:
        """All files of the open prop, by path from its folder."""
        raise NotImplementedError

    def rewrite(self, text: str) -> PropView:
        """Take another text for prop.toml; the other files stay. This is undo and redo, too."""
        raise NotImplementedError

    def edit(self, path: str, value: Setting) -> PropView:
        """Set one key of the prop file, such as `drives.jaw.pulse.low`; comments stay. null removes the key."""
        raise NotImplementedError

    def pose(self, values: Values) -> PoseView:
        """The pose at these values."""
        raise NotImplementedError

    def clearance(self, values: Values) -> ClearanceView:
        """How far the pairs of parts stand from each other at these values."""
        raise NotImplementedError

    def sweep(self, drive: str, values: Values, steps: int = 33) -> SweepView:
        """Where one drive takes the prop between its end points."""
        raise NotImplementedError

    def turn(self, joint: str, position: float, values: Values) -> Found:
        """The values that bring one joint to a position [deg | mm]; other joints keep theirs where they can."""
        raise NotImplementedError

    def reach(
        self, link: str, grip: Point, target: Point, values: Values, joints: tuple[str, ...] = ()
    ) -> Found:
        """The values that bring a point of a link to a target, from these values on.

        `grip` is in the frame of the link, `target` in that of the world, both as in the picture (metres, +Y up).
        Only `joints` may move, or without any named, all between the link and the root.
        """
        raise NotImplementedError

    def read_snapshot(self, data: bytes, name: str, values: Values) -> SnapshotView:
        """Read a snapshot (CSV, JSON or 512 bytes; the name's ending says which, if it has one) over these values."""
        raise NotImplementedError

    def write_snapshot(self, values: Values, form: Literal["csv", "json", "text"]) -> str:
        """A snapshot of these values, to copy."""
        raise NotImplementedError

    def store_look(self, name: str, values: Values) -> PropView:
        """Keep these values with the prop under a name, as looks/NAME.csv."""
        raise NotImplementedError

    def drop_look(self, name: str) -> PropView:
        """Forget a stored look."""
        raise NotImplementedError

    def scene(self) -> FileView:
        """The open prop as GLB for the picture: one node a link, named after it, at the rest values."""
        raise NotImplementedError

    def glb(self, values: Values) -> FileView:
        """The prop in this pose as a GLB to keep; it can be opened again."""
        raise NotImplementedError
