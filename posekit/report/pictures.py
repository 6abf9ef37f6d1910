"""The picture sheet: every look of a prop from three sides, to one scale, with what there is to tell of it."""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import dataclass, replace
from pathlib import PurePosixPath

import numpy as np

from posekit.arrays import Array
from posekit.clearance.left_out import LeftOut
from posekit.clearance.watch import Watch, watch
from posekit.errors import Finding, PosekitError, bounded
from posekit.mechanism.pose import Pose
from posekit.output.drawing import Skin, drawing
from posekit.output.gltf.parts import linear
from posekit.output.png import encode
from posekit.output.shading import shaded
from posekit.pipeline import pose, rest
from posekit.prop.fingerprint import fingerprint
from posekit.prop.folder import LOOKS, in_folder
from posekit.prop.model import Link, Prop
from posekit.prop.shapes import sources_of
from posekit.report.check import quick_check
from posekit.report.pose import near_at, near_findings
from posekit.signal.snapshot import Snapshot
from posekit.stepwise import finished
from posekit.transforms import placement

# Where it is seen from: the rows are to the right, upwards, and towards who looks. Seen from above the front is below,
# so that the picture stands under that of the front with its sides alike.
SIDES: tuple[tuple[str, Array], ...] = (
    ("the front", np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]])),
    ("the left", np.array([[-1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, 1.0, 0.0]])),
    ("above", np.array([[0.0, 1.0, 0.0], [-1.0, 0.0, 0.0], [0.0, 0.0, 1.0]])),
)
PIXELS = 400  # a side of a picture: 180 to an inch where it is 56 mm wide
ROOM = 0.05  # of the picture, at each edge
LEAST_MM = 40.0  # a side of the picture where nothing is drawn
BAR = 0.3  # of the picture, that the bar of the scale may be long


@dataclass(frozen=True, slots=True)
class Pictured:
    """A look by its name, its pictures (PNG) in the order of SIDES, and the findings of its pose."""

    name: str
    pictures: tuple[bytes, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class PictureSheet:
    """All looks to one scale: a picture is `side_mm` wide. `findings` are those of the prop and of looks that cannot
    be read; `pairs` is how many are judged of each look, `left_out` what is not.
    """

    prop: str
    fingerprint: str
    side_mm: float
    bar_mm: float
    looks: tuple[Pictured, ...]
    pairs: int
    left_out: tuple[LeftOut, ...]
    findings: tuple[Finding, ...]


Named = tuple[str, Snapshot]


def picture_sheet(prop: Prop, looks: Sequence[Named] | None = None) -> PictureSheet:
    """The sheet of these looks, or of all that the prop has; where it has none, of its rest pose.

    Raises PosekitError for a mesh that cannot be used.
    """
    return finished(picture_steps(prop, looks))


def picture_steps(
    prop: Prop, looks: Sequence[Named] | None = None, watched: Watch | None = None, file: str | None = None
) -> Generator[tuple[int, int], None, PictureSheet]:
    """`picture_sheet`, and on the way how many looks are drawn, of how many.

    `watched` is the `watch` of the prop, `file` what messages call its file.
    """
    broken: list[Finding] = []
    named = _stored(prop, broken) if looks is None else list(looks)
    states = [(name, pose(prop, snapshot)) for name, snapshot in named] or [("rest", rest(prop))]
    yield 0, len(states)
    judged, skins = watched or watch(prop), _skins(prop)
    middles, side = _frames(prop, skins, [state for _, state in states])
    done: list[Pictured] = []
    for name, state in states:
        pictures = _drawn(_placed(prop, skins, state), middles, side)
        near = near_findings(prop, near_at(prop, judged, state))
        done.append(Pictured(name, pictures, bounded([*state.findings, *near])))
        yield len(done), len(states)
    return PictureSheet(
        prop=prop.name,
        fingerprint=fingerprint(prop),
        side_mm=side,
        bar_mm=_round_length(BAR * side),
        looks=tuple(done),
        pairs=len(judged.pairs),
        left_out=judged.left_out,
        findings=bounded([*broken, *quick_check(prop, file)]),
    )


def _stored(prop: Prop, broken: list[Finding]) -> list[Named]:
    """The looks of a prop that can be read, in the order of their names."""
    found = []
    for name, path in sorted(in_folder(prop.files, LOOKS).items()):
        try:
            found.append((name, Snapshot.decode(prop.files[path], PurePosixPath(path).suffix, path)))
        except PosekitError as problem:
            broken.extend(problem.findings)
    return found


def _skins(prop: Prop) -> list[Skin]:
    """What each link draws, in its frame [mm]."""
    skins = []
    for link in prop.links:
        parts = [Skin(np.empty((0, 3, 3)), np.empty((0, 3, 3)), np.empty((0, 3)))]
        for shape, source in sources_of(prop, link):
            if shape.drawn:
                vertices, normals, faces = shaded(*shape.form.triangles(source))
                link_from_shape = placement(shape.at, shape.turn)
                turn, shift = link_from_shape[:3, :3], link_from_shape[:3, 3]
                colours = np.tile(linear(shape.colour), (len(faces), 1))
                parts.append(Skin((vertices @ turn.T + shift)[faces], (normals @ turn.T)[faces], colours))
        skins.append(_together(parts))
    return skins


def _together(parts: Sequence[Skin]) -> Skin:
    return Skin(
        np.concatenate([part.corners for part in parts]),
        np.concatenate([part.normals for part in parts]),
        np.concatenate([part.colours for part in parts]),
    )


def _placed(prop: Prop, skins: Sequence[Skin], state: Pose) -> Skin:
    """All of a prop in a pose, in the world [mm]."""
    placed = []
    for link, skin in zip(prop.links, skins, strict=True):
        turn, shift = _turn_and_shift(state, link)
        placed.append(replace(skin, corners=skin.corners @ turn.T + shift, normals=skin.normals @ turn.T))
    return _together(placed)


def _turn_and_shift(state: Pose, link: Link) -> tuple[Array, Array]:
    return state.links[link.name][:3, :3], state.links[link.name][:3, 3]


def _frames(prop: Prop, skins: Sequence[Skin], states: Sequence[Pose]) -> tuple[list[Array], float]:
    """The middle of the picture for each side, to the right and upwards [mm], and how wide all pictures are [mm].

    Places the links one by one and keeps none: all looks of a prop at once may be more than memory holds.
    """
    ends = []
    for state in states:
        for link, skin in zip(prop.links, skins, strict=True):
            if len(skin.corners):
                turn, shift = _turn_and_shift(state, link)
                corners = (skin.corners @ turn.T + shift).reshape(-1, 3)
                ends.append((corners.min(axis=0), corners.max(axis=0)))
    low = np.min([least for least, _ in ends], axis=0) if ends else np.zeros(3)
    high = np.max([most for _, most in ends], axis=0) if ends else np.zeros(3)
    side = max(float((high - low).max()) * (1 + 2 * ROOM), LEAST_MM)
    return [axes[:2] @ ((low + high) / 2) for _, axes in SIDES], side


def _drawn(skin: Skin, middles: Sequence[Array], side: float) -> tuple[bytes, ...]:
    """The pictures (PNG) of a skin in the world, in the order of SIDES."""
    return tuple(
        encode(drawing(_seen(skin, axes, middle, side), PIXELS))
        for (_, axes), middle in zip(SIDES, middles, strict=True)
    )


def _seen(skin: Skin, axes: Array, middle: Array, side: float) -> Skin:
    """A skin as it is seen: x and y in pixels, y downwards, and depth."""
    seen = skin.corners @ axes.T
    scale = PIXELS / side
    seen[..., 0] = (seen[..., 0] - middle[0]) * scale + PIXELS / 2
    seen[..., 1] = PIXELS / 2 - (seen[..., 1] - middle[1]) * scale
    normals = skin.normals @ axes.T
    normals[..., 1] *= -1.0
    return Skin(seen, normals, skin.colours)


def _round_length(most: float) -> float:
    """The longest of 1, 2, 5, 10, 20, ... mm that is not longer than this."""
    power = 10.0 ** np.floor(np.log10(most))
    return float(max(step * power for step in (1, 2, 5) if step * power <= most * (1 + 1e-9)))
