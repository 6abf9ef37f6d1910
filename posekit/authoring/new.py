"""A prop out of what an importer gave: links with their meshes, joints, and drives for the joints that move."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import cycle
from pathlib import PurePath

import numpy as np

from posekit.authoring.mesh_kept import Kept, Wishes, kept_of
from posekit.authoring.prop_text import DriveText, LinkText, prop_text
from posekit.errors import Finding, PosekitError, error, note
from posekit.exchange.assembly import Assembly, Part, Skin
from posekit.exchange.names import plain_name, unique
from posekit.prop.folder import MESHES, ORIGINALS, PROP_FILE
from posekit.prop.model import Joint, Prop, Servo, Shape
from posekit.prop.reader import read
from posekit.prop.servo_classes import CLASSES
from posekit.shape import Mesh
from posekit.text import listed

# For parts whose file has no colour: calm, and told apart by lightness as well.
PALETTE = ("#8f9aa6", "#b8a88a", "#6f8a80", "#c2b6ae", "#7a7f95", "#a7b59a", "#94796b", "#cfcabc")
SLOTS = 512  # of a universe (ANSI E1.11)

Spread = Callable[..., Iterable[Kept]]  # called as `map` is


@dataclass(frozen=True, slots=True)
class New:
    """A new prop, the files to keep beside it that are no part of it, by path, and what there is to tell."""

    prop: Prop
    beside: Mapping[str, bytes]
    findings: tuple[Finding, ...]


def prop_of(
    assembly: Assembly,
    wishes: Wishes | None = None,
    root: str | None = None,
    kind: str = "standard",
    spread: Spread = map,
) -> New:
    """The prop of an assembly.

    A part that no joint carries is fixed to `root`, or without a word to the largest of them, where it stands. Joints
    that turn get a drive each, with a servo of the class `kind`, its end points within the stops. `spread` is `map`,
    or one that does the work of many meshes side by side. Raises PosekitError.
    """
    given = wishes or Wishes()
    told = list(assembly.findings)
    skins = list({id(skin): skin for part in assembly.parts for skin in part.skins}.values())
    originals = [assembly.originals.get(skin.original or "") for skin in skins]
    kept = list(spread(kept_of, skins, originals, [given] * len(skins)))
    told += [finding for each in kept for finding in each.findings]
    if wrong := [finding for finding in told if finding.level == "error"]:
        raise PosekitError(wrong)
    held = _held(assembly, root, told)
    drives = _drives(assembly.joints, CLASSES[kind].servo, told)
    files: dict[str, bytes] = {}
    form_of = {
        id(skin): _form(name, each, files)
        for name, skin, each in zip(unique(_file_name(s) for s in skins), skins, kept, strict=True)
    }
    colours = cycle(PALETTE)
    links = [_link(part, form_of, next(colours)) for part in assembly.parts]
    said = [
        f"Lengths in mm; brought from {assembly.unit}. +Z is up, +X is the front. All keys: posekit schema"
    ]
    text = prop_text(assembly.name, said, links, (*assembly.joints, *held), drives, kind)
    beside = {
        ORIGINALS + PurePath(skin.original).name: content
        for skin, each, content in zip(skins, kept, originals, strict=True)
        if given.originals and each.is_thinner and content is not None and skin.original is not None
    }
    return New(read({PROP_FILE: text.encode(), **files}, PROP_FILE), beside, tuple(told))


def _file_name(skin: Skin) -> str:
    return plain_name(skin.name) or "part"


def _form(name: str, kept: Kept, files: dict[str, bytes]) -> Mesh:
    """The form of a mesh whose files are put among `files`."""
    path = f"{MESHES}{name}{kept.ending}"
    files[path] = kept.content
    if kept.pieces is None:
        return Mesh(path=path, scale=kept.scale)
    files[pieces := f"{MESHES}{name}.pieces.json"] = kept.pieces
    return Mesh(path=path, scale=kept.scale, pieces=pieces)


def _link(part: Part, form_of: Mapping[int, Mesh], colour: str) -> LinkText:
    meshes = [
        Shape(
            form=form_of[id(skin)],
            at=skin.at,
            turn=skin.turn,
            colour=skin.colour or colour,
            solid=skin.solid,
            drawn=skin.drawn,
        )
        for skin in part.skins
    ]
    return LinkText(name=part.name, mass=part.mass, shapes=(*meshes, *part.shapes))


def _held(assembly: Assembly, root: str | None, told: list[Finding]) -> list[Joint]:
    """A fixed joint at the origin of the world for each part that no joint carries, but for the one that stands."""
    carried = {joint.child for joint in assembly.joints}
    loose = [part for part in assembly.parts if part.name not in carried]
    names = [part.name for part in loose]
    if root is not None and root not in names:
        raise PosekitError([error("unknown-name", "--root", f"= '{root}': the parts are {listed(names)}")])
    if len(loose) < 2:
        return []
    stands = root or max(loose, key=_size).name
    others = [name for name in names if name != stands]
    sentence = (
        f"stands, and {listed(others, 6)} hang on it, fixed where they were drawn; --root names another. "
    )
    told.append(note("held", f"links.{stands}", sentence + "Make joints of them with posekit edit"))
    taken = [joint.name for joint in assembly.joints]
    called = unique([*taken, *others])[len(taken) :]
    return [
        Joint(name=name, type="fixed", parent=stands, child=child)
        for name, child in zip(called, others, strict=True)
    ]


def _size(part: Part) -> float:
    """How much room a part takes [mm3], by its skins."""
    if not part.skins:
        return 0.0
    points = np.concatenate([skin.vertices for skin in part.skins])
    return float(np.prod(np.ptp(points, axis=0) + 1e-3))


def _drives(joints: Sequence[Joint], servo: Servo, told: list[Finding]) -> list[DriveText]:
    """A drive on the shaft of each joint that turns by itself, at one address after the other from universe 1 on."""
    moving = [joint for joint in joints if joint.type != "fixed" and joint.follow is None]
    drives: list[DriveText] = []
    left: list[str] = []
    for joint in moving:
        pulse = _end_points(joint, servo) if joint.type == "revolute" else None
        if pulse is None:
            left.append(joint.name)
            continue
        universe, slot = divmod(len(drives), SLOTS)
        drives.append(
            DriveText(
                joint=joint.name,
                universe=universe + 1,
                address=slot + 1,
                pulse=pulse,
                rest=_rest(pulse, 1500.0),
            )
        )
    if drives:
        last = drives[-1]
        sentence = (
            f"{len(drives)} joints have got a {servo.name} servo each, directly on their shaft, at addresses "
        )
        sentence += f"from universe 1, address 1 to universe {last.universe}, address {last.address}; "
        sentence += "put in your servos, linkages and patch"
        told.append(note("drives-made", "drives", sentence))
    if left:
        sentence = f"no drive yet for {listed(left)}: what slides, or stands where no {servo.name} servo on its shaft "
        told.append(note("no-drive", "drives", sentence + "comes to, needs a linkage; see posekit linkage"))
    return drives


def _end_points(joint: Joint, servo: Servo) -> tuple[float, float] | None:
    """Pulses [µs] that keep the servo of a joint within its stops; None if it reaches none of what is between them."""
    low, high = servo.pulse_range
    us_per_degree = (high - low) / servo.travel
    stops = joint.stops or (-360.0, 360.0)
    pulses = [min(max(1500.0 + us_per_degree * stop, low), high) for stop in stops]
    # Rounded inwards, so that no servo presses against a stop.
    first, last = float(np.ceil(pulses[0])), float(np.floor(pulses[1]))
    return (first, last) if last - first >= 1.0 else None


def _rest(pulse: tuple[float, float], at: float) -> int | None:
    """The 8-bit value nearest to a pulse; None if that is the middle one, which a drive rests at unasked."""
    first, last = pulse
    share = min(max((at - first) / (last - first), 0.0), 1.0)
    value = round(256 * share) if share <= 0.5 else round(128 + 254 * (share - 0.5))
    return None if value == 128 else value
