"""A show run on a prop: read once, and followed anew when the prop changes."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from posekit import kinds
from posekit.arrays import Array
from posekit.errors import PosekitError, error
from posekit.mechanism.joints import Mechanism, solve
from posekit.mechanism.kinematics import forward
from posekit.motion import Motion, follow, limits_of
from posekit.prop.folder import NOTES_FILE, SHOWS
from posekit.prop.model import Prop
from posekit.stream import Show, read_show
from posekit.stream.cue_file import parse
from posekit.stream.cues import Cue


@dataclass(frozen=True, slots=True)
class Rehearsal:
    """A show and what the prop makes of it. `content` are the bytes of file `name` that it was read from."""

    prop: Prop
    name: str
    content: bytes
    show: Show
    motion: Motion

    @property
    def cues(self) -> tuple[Cue, ...]:
        """The cues of the show; none for a recording."""
        is_list = kinds.ending(self.name) == kinds.CUES
        return parse(self.content, self.name)[0].cues if is_list else ()

    @property
    def rest(self) -> float:
        """The time [s] from which everything rests; not before the last frame."""
        last = self.motion.first[1:] - 1
        runs_out = self.motion.since[last] + self.motion.moves(last, self.motion.limits).duration
        return float(max(self.show.times[-1], runs_out.max(initial=-np.inf)))


def rehearse(prop: Prop, name: str, content: bytes) -> Rehearsal:
    """Read a show and follow it."""
    show = read_show(prop, content, name)
    return Rehearsal(prop, name, content, show, follow(prop, show.times, show.values))


def renewed(old: Rehearsal, prop: Prop) -> Rehearsal:
    """The same show on the prop as it is now; only what could have changed is worked out again.

    PosekitError if the show was one of the prop's files and is there no more.
    """
    if prop is old.prop:
        return old
    if old.name.startswith(SHOWS) and old.name not in prop.files:
        raise PosekitError([error("no-show", old.name, "is no longer a show of this prop")])
    content = prop.files.get(old.name, old.content)
    if content != old.content or _sends(prop) != _sends(old.prop):
        return rehearse(prop, old.name, content)
    limits, now = limits_of(prop), old.motion.limits
    changed = np.flatnonzero((limits.speed != now.speed) | (limits.acceleration != now.acceleration)).tolist()
    if len(changed) == 1:
        d = changed[0]
        motion = old.motion.with_drive(d, float(limits.speed[d]), float(limits.acceleration[d]))
    else:
        motion = old.motion.under(limits) if changed else old.motion
    return replace(old, prop=prop, motion=motion)


def _sends(prop: Prop) -> tuple[object, ...]:
    """All of a prop that decides where its shafts are sent: everything but limits, other shows and notes."""
    looks = {
        path: content
        for path, content in prop.files.items()
        if not path.startswith(SHOWS) and path != NOTES_FILE
    }
    drives = tuple(replace(drive, speed=None, acceleration=None) for drive in prop.drives)
    return looks, drives, tuple(replace(servo, speed=None) for servo in prop.servos)


def places(prop: Prop, shafts_deg: ArrayLike, mechanism: Mechanism) -> Array:
    """world_from_link of shaft angles; (P, D) [deg] to (P, L, 4, 4) [mm]."""
    return forward(prop, solve(prop, np.asarray(shafts_deg, float), mechanism).position, mechanism.tree)
