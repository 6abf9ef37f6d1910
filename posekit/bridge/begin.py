"""How a prop begins: each public method of `Begin` is one request of the page. The prop that is open stays open."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import chain
from typing import Literal

import numpy as np

from posekit.arrays import Array
from posekit.authoring.contents import at_zero
from posekit.authoring.mesh_kept import Wishes
from posekit.authoring.new import New, prop_of
from posekit.authoring.starter import starter
from posekit.bridge.begin_views import BroughtPart, BroughtView, ClassesView
from posekit.bridge.view_of_prop import finding_view
from posekit.bridge.workbench import Workbench
from posekit.budgets import MESH_TRIANGLES
from posekit.errors import Finding, PosekitError, error
from posekit.exchange.assembly import Assembly
from posekit.exchange.brought import brought
from posekit.exchange.colour_files import among as colours_among
from posekit.exchange.thin import MANY
from posekit.exchange.units import MM_PER_UNIT, size_words
from posekit.exchange.urdf.lookup import among
from posekit.kinds import STEPS, ending
from posekit.mechanism.tree import root_link
from posekit.output import gltf
from posekit.pipeline import rest
from posekit.prop.beside import all_files
from posekit.prop.model import Prop, ServoClass
from posekit.prop.servo_classes import CLASSES
from posekit.prop.shapes import sources_of
from posekit.shape import Mesh
from posekit.text import counted
from posekit.transforms import placement

Unit = Literal["mm", "cm", "m", "inch"]
UpAxis = Literal["y", "z"]

# Libraries of compiled code that thin and cut meshes are not there in a browser; the command has them.
WISHES = Wishes(within_mm=0.0, pieces=False, originals=False)
NO_PIECES = (
    "Meshes are not cut into convex pieces in the browser: clearance takes each as its hull, any hollow filled. "
    "posekit pieces cuts them on your machine."
)
NOT_THINNED = (
    f"of more than {MANY} triangles cannot be thinned in the browser; posekit new thins them on your machine."
)
NEEDS = {
    "needs-extra": "is Collada, which the browser does not read; export it as STL, OBJ, PLY or GLB, or use "
    "posekit new on your machine",
    "mesh-too-fine": f"has more than the {MESH_TRIANGLES} triangles that one mesh of a prop may have; export it "
    "coarser, or use posekit new, which thins it on your machine",
}
CHOICES = {"--root": "The part that stands"}  # of the page, by the options of the command


class Begin:
    """New props, from nothing or from files. What is made is shown first, and opened when it is accepted."""

    def __init__(self, workbench: Workbench) -> None:
        self._workbench = workbench

    def servo_classes(self) -> ClassesView:
        """The classes of servo to begin with."""
        return ClassesView(tuple(CLASSES))

    def begin_empty(self, name: str, servo: ServoClass = "standard") -> BroughtView:
        """The smallest prop that moves: a base, an arm, a servo and a drive, every key explained."""
        return _view(New(starter(name, servo), {}, ()), "mm", (), None, ())

    def begin_with(
        self,
        files: Mapping[str, bytes],
        name: str,
        unit: Unit | None = None,
        up: UpAxis | None = None,
        root: str | None = None,
        servo: ServoClass = "standard",
        step: bytes | None = None,
        pictures: Mapping[str, bytes] | None = None,
    ) -> BroughtView:
        """A prop from mesh files, or from one STEP file or one URDF with its meshes beside it, by path.

        `step` is the STEP file as a GLB, `pictures` are those inside of GLB files as `colour_files.among` takes them,
        which the page makes. Without `unit` and `up` they are taken from the files
        and told; `root` is the part that stands, without a word the largest.
        """
        given = _main(files)
        try:
            assembly = brought(
                given,
                name,
                unit,
                up,
                meshes_of=lambda urdf: among(files, urdf),
                convert=lambda _: step or b"",
                beside=colours_among(files, pictures or {}),
                knows_places=False,
            )
            made = prop_of(assembly, WISHES, root, servo)
        except PosekitError as refused:
            raise PosekitError([_as_in_a_browser(finding) for finding in refused.findings]) from None
        says_itself = any(ending(file) == ".urdf" for file in given)
        is_step = any(ending(file) in STEPS for file in given)
        ups = () if says_itself else ("y", "z")
        view = _view(
            made,
            assembly.unit,
            () if says_itself or (is_step and assembly.unit is None) else tuple(MM_PER_UNIT),
            up or ("z" if is_step else None),
            ups,
        )
        return replace(view, may_stand=_may_stand(assembly), lacks=tuple(_lacks(made.prop, view)))


def _main(files: Mapping[str, bytes]) -> dict[str, bytes]:
    """The files that are brought in by themselves: a URDF has its meshes beside it, which it names."""
    if not files:
        raise PosekitError(
            [error("wrong-files", "", "no file was given; choose STL, OBJ, PLY, GLB, STEP or URDF")]
        )
    robots = [file for file in files if ending(file) in (".urdf", ".xacro")]
    if len(robots) > 1:
        raise PosekitError(
            [error("wrong-files", "", "is not the only URDF; bring one at a time", file=robots[1])]
        )
    return {file: files[file] for file in robots} or dict(files)


def _view(
    made: New, unit: str | None, units: tuple[str, ...], up: str | None, ups: tuple[str, ...]
) -> BroughtView:
    prop = made.prop
    boxes = dict(_boxes(prop))
    counts = _triangles(prop)
    return BroughtView(
        name=prop.name,
        unit=unit,
        units=units,
        up=up,
        ups=ups,
        size=_size([corner for box in boxes.values() for corner in box]),
        parts=tuple(
            BroughtPart(link.name, _size(boxes.get(link.name, ())), counts[link.name]) for link in prop.links
        ),
        moving=len(prop.joints),
        drives=len(prop.drives),
        stands=root_link(prop),
        may_stand=(),
        findings=tuple(finding_view(_without_options(finding)) for finding in made.findings),
        lacks=(),
        files=all_files(prop),
        picture=gltf.picture(prop, rest(prop)),
    )


def _boxes(prop: Prop) -> Iterator[tuple[str, tuple[Array, Array]]]:
    """The corners (3,) [mm] of the box about each part, in the world with all joints at 0."""
    world = at_zero(prop)
    for link in prop.links:
        corners = []
        for shape, source in sources_of(prop, link):
            extent = shape.form.extent(source)
            frame = world[link.name] @ placement(shape.at, shape.turn)
            points = extent.points @ frame[:3, :3].T + frame[:3, 3]
            corners += [
                (points - extent.radius[:, None]).min(axis=0),
                (points + extent.radius[:, None]).max(axis=0),
            ]
        if corners:
            yield link.name, (np.min(corners, axis=0), np.max(corners, axis=0))


def _size(corners: object) -> str:
    found = np.array(corners, float).reshape(-1, 3)
    return size_words(found.min(axis=0), found.max(axis=0)) if len(found) else "no size"


def _triangles(prop: Prop) -> dict[str, int]:
    return {
        link.name: sum(
            len(shape.form.triangles(source)[1])
            for shape, source in sources_of(prop, link)
            if isinstance(shape.form, Mesh)
        )
        for link in prop.links
    }


def _may_stand(assembly: Assembly) -> tuple[str, ...]:
    """The parts of which one stands, where there is a choice."""
    loose = tuple(part.name for part in assembly.loose)
    return loose if len(loose) > 1 else ()


def _lacks(prop: Prop, view: BroughtView) -> Iterator[str]:
    """What the command would do with these files, and a browser does not."""
    shapes = chain.from_iterable(link.shapes for link in prop.links)
    if any(isinstance(shape.form, Mesh) and shape.solid for shape in shapes):
        yield NO_PIECES
    if heavy := sum(part.triangles > MANY for part in view.parts):
        yield f"{counted(heavy, 'part')} {NOT_THINNED}"


def _without_options(finding: Finding) -> Finding:
    """A finding without the options of the command that it names; the page has the choice beside it."""
    return replace(finding, message=re.sub(r" \(--[a-z ]+\)", "", finding.message))


def _as_in_a_browser(finding: Finding) -> Finding:
    """A refusal with the remedies that there are in a browser: no library to install, and no option of the command."""
    if finding.code in NEEDS:
        return replace(finding, message=NEEDS[finding.code])
    return replace(_without_options(finding), subject=CHOICES.get(finding.subject, finding.subject))
