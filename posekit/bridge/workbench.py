"""What can be asked through the door: each public method of `Workbench` is one request that the page can make."""

from __future__ import annotations

import platform
from collections.abc import Callable, Generator, Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Literal

import numpy as np

import posekit
from posekit.arrays import Array
from posekit.bridge import picture, units, words
from posekit.bridge.last_poses import LastPoses
from posekit.bridge.overtaking import newest_wins
from posekit.bridge.view_of_prop import finding_views, named, prop_view
from posekit.bridge.views import (
    CheckView,
    Floats,
    Hello,
    PoseView,
    PropView,
    Setting,
    SnapshotView,
    Values,
)
from posekit.errors import Finding, PosekitError, error
from posekit.mechanism.joints import Mechanism, mechanism_of
from posekit.mechanism.pose import Pose
from posekit.mechanism.skeleton import Placed, placed, points, skeleton
from posekit.prop import glb as carried
from posekit.prop.beside import all_files, with_file, with_look, without_file, without_look
from posekit.prop.folder import PROP_FILE
from posekit.prop.model import Prop
from posekit.report.check import check
from posekit.signal.patch import patched, sendable, snapshot_of
from posekit.signal.snapshot import Snapshot
from posekit.stepwise import finished
from posekit.toml.places import dotted

if TYPE_CHECKING:
    from posekit.clearance import Solids, Watch


class Workbench:
    """One open prop and the questions that can be asked about it."""

    def __init__(self) -> None:
        self._prop: Prop | None = None
        self._mechanism: Mechanism | None = None
        self._poses = LastPoses()
        self._solids: Solids | None = None
        self._skeleton: tuple[Placed, ...] | None = None
        self._watched: Watch | None = None

    def hello(self) -> Hello:
        """Name the versions that run here; the page compares the first with its own."""
        return Hello(posekit=posekit.__version__, python=platform.python_version(), numpy=np.__version__)

    def open(self, files: Mapping[str, bytes], name: str) -> PropView:
        """Open a prop from the files of its folder, by path from that folder; `prop.toml` is one of them."""
        return self._take(posekit.read(files, f"{name}/{PROP_FILE}"))

    def open_glb(self, glb: bytes, name: str) -> PropView:
        """Open the prop inside a GLB that posekit wrote, in the pose it was written in."""
        inside = carried.read(glb, name)
        view = self._take(posekit.read(carried.prop_files(glb, name), name))
        if not inside.state:
            return view
        given = inside.state.get("values")
        start = self.fit(given if isinstance(given, Mapping) else {})
        return replace(view, values=start.values, findings=(*view.findings, *start.findings))

    def files(self) -> Mapping[str, bytes]:
        """All files of the open prop, by path from its folder."""
        return all_files(self.prop)

    def file(self, path: str) -> bytes | None:
        """One file beside the prop file, by path from the folder; null if it is not there."""
        return self.prop.files.get(path)

    def fingerprint(self) -> str:
        """One name for the files of the open prop as they are now, notes left out; any other state has another."""
        from posekit.prop.fingerprint import fingerprint  # when it is needed

        return fingerprint(self.prop)

    def rewrite(self, text: str) -> PropView:
        """Take another text for prop.toml; the other files stay. This is undo and redo, too."""
        return self._take(posekit.read({**self.prop.files, PROP_FILE: text.encode()}))

    def edit(self, path: str, value: Setting) -> PropView:
        """Set one key of the prop file, such as `drives.jaw.pulse.low`; comments stay. null removes the key."""
        return self.edit_all({path: value})

    def edit_all(self, changes: Mapping[str, Setting]) -> PropView:
        """Set several keys of the prop file at once, so that a table can come with all that it needs."""
        # When they are needed: a page is ready the sooner.
        from posekit.authoring.lost_units import with_lost_units
        from posekit.prop.writer import edit_all
        from posekit.toml.editing import path_of

        keys = {path_of(key): value for key, value in changes.items()}
        kept, told = with_lost_units(self.prop, keys, words.anew)
        return self._take(edit_all(self.prop, {dotted(path): value for path, value in kept.items()}), told)

    def keep_file(self, path: str, data: bytes, replace: bool = False) -> PropView:
        """Keep a file beside the prop file, by its path from the folder; over one of that name if `replace`."""
        return self._take(with_file(self.prop, path, data, replace=replace))

    def drop_file(self, path: str) -> PropView:
        """Let go of a file beside the prop file."""
        return self._take(without_file(self.prop, path))

    def fit(self, values: Mapping[str, float]) -> SnapshotView:
        """Values from a link, a file or another prop as the drives of this one can be sent them."""
        row, findings = sendable(self.prop, values)
        return SnapshotView(named(self.prop, row), finding_views(self.prop, findings))

    @newest_wins
    def pose(self, values: Values, linkages: bool = False) -> PoseView:
        """The pose at these values; with the bodies of its linkages, if asked for."""
        state = self.posed(row(self.prop, values))
        world_from_link = np.array(list(state.links.values()))
        shafts = np.array([list(state.shafts.values())])
        return PoseView(
            values=state.values,
            texts=units.texts(self.prop.drives, state.values.values()),
            pulses_us=tuple(state.pulses.values()),
            shafts_deg=tuple(state.shafts.values()),
            joints=tuple(state.joints.values()),
            links=picture.matrices(world_from_link),
            linkages=self.drawn_linkages(shafts, world_from_link[None])[0] if linkages else None,
            findings=finding_views(self.prop, state.findings),
        )

    def check(self) -> CheckView:
        """All that the open prop has to tell over all its values, the shapes of its parts included."""
        return CheckView(finding_views(self.prop, check(self.prop)))

    def read_snapshot(self, data: bytes, name: str) -> SnapshotView:
        """Read a snapshot: a file by the ending of its name, or without one, text in any form posekit reads."""
        _, dot, suffix = name.rpartition(".")
        snapshot = Snapshot.decode(data, dot + suffix if dot else "", name)
        row, notes = patched(self.prop, snapshot)
        return SnapshotView(named(self.prop, row), finding_views(self.prop, notes))

    @newest_wins
    def write_snapshot(self, values: Values, form: Literal["csv", "json", "text"]) -> str:
        """A snapshot of these values, to copy."""
        snapshot = snapshot_of(self.prop, row(self.prop, values))
        return {"csv": snapshot.csv, "json": snapshot.json, "text": snapshot.text}[form]()

    def store_look(self, name: str, values: Values, replace: bool = False) -> PropView:
        """Keep these values with the prop under a name, as looks/NAME.csv; over a look of that name if `replace`."""
        look = snapshot_of(self.prop, row(self.prop, values)).csv()
        return self._take(with_look(self.prop, name, look, replace=replace))

    def drop_look(self, name: str) -> PropView:
        """Forget a stored look."""
        return self._take(without_look(self.prop, name))

    @property
    def prop(self) -> Prop:
        """The open prop. PosekitError if there is none."""
        if self._prop is None:
            raise PosekitError([error("no-prop", "", "no prop is open")])
        return self._prop

    @property
    def posed(self) -> Callable[[Array], Pose]:
        """The pose at values (D,), which is found once for all that is asked about it."""
        return partial(self._poses.at, self.prop, self.mechanism)

    @property
    def take(self) -> Callable[..., PropView]:
        """How other desks put a prop in the place of the open one, with what they tell of it: as the page sees it."""
        return self._take

    @property
    def mechanism(self) -> Mechanism:
        """What all poses of the open prop have in common, found once."""
        self._mechanism = self._mechanism or mechanism_of(self.prop)
        return self._mechanism

    @property
    def skeleton(self) -> tuple[Placed, ...]:
        """The linkages of the open prop where they stand, found once."""
        if self._skeleton is None:
            self._skeleton = placed(self.prop, self.mechanism)
        return self._skeleton

    @property
    def drawn_linkages(self) -> Callable[[Array, Array], Floats]:
        """Their bodies in the picture, for other desks, too: shafts (P, D) and links (P, L, 4, 4) to (P, B, 3, 3)."""
        return self._drawn_linkages

    @property
    def parts(self) -> Solids:
        """The solid shapes of the open prop."""
        from posekit.clearance import solids  # when it is needed: a page is ready the sooner

        if self._solids is None:
            self._solids = solids(self.prop)
        return self._solids

    @property
    def watched(self) -> Watch:
        """The pairs of parts of the open prop that are judged, and what is left out."""
        return finished(self.watching)

    @property
    def watching(self) -> Generator[None, None, Watch]:
        """The same in small steps, for long work."""
        from posekit.clearance.watch import watch_steps  # likewise

        prop = self.prop
        watched = self._watched or (yield from watch_steps(prop))
        if self._prop is prop:  # which another may have taken the place of meanwhile
            self._watched = watched
        return watched

    def _take(self, prop: Prop, told: Sequence[Finding] = ()) -> PropView:
        mechanism = mechanism_of(prop)
        view = prop_view(prop, {drive.name: drive.rest_value for drive in prop.drives}, mechanism.trains)
        self._prop, self._mechanism, self._solids, self._watched = prop, mechanism, None, None
        self._skeleton = None
        return replace(view, told=finding_views(prop, told)) if told else view

    def _drawn_linkages(self, shafts_deg: Array, world_from_link: Array) -> Floats:
        bodies = skeleton(self.skeleton, shafts_deg, world_from_link)
        return picture.points(points(bodies, len(shafts_deg))).astype(np.float32)


def row(prop: Prop, values: Values) -> Array:
    """Values (D,) in the order of the drives."""
    return np.array([values.get(drive.name, drive.rest_value) for drive in prop.drives], float)
