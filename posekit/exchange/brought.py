"""Files as an assembly, each kind by its importer: the one way in for the command and for the page."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from posekit.errors import PosekitError, error
from posekit.exchange.assembly import Assembly
from posekit.exchange.colour_files import ColourFiles
from posekit.exchange.parts import Up, parts_of
from posekit.exchange.step import step_parts
from posekit.exchange.urdf.assembly import urdf_assembly
from posekit.exchange.urdf.lookup import MeshFiles
from posekit.kinds import ASSEMBLIES, COLOURS, STEPS, ending


def brought(
    files: Mapping[str, bytes],
    name: str,
    unit: str | None,
    up: Up | None,
    *,
    meshes_of: Callable[[str], MeshFiles],
    convert: Callable[[bytes], bytes],
    beside: ColourFiles,
    knows_places: bool = True,
) -> Assembly:
    """What mesh files hold, or one STEP or URDF file alone.

    Files of colours (.mtl) among them are read by the OBJ that names them, from `beside`. `meshes_of` finds the mesh
    files that a URDF names, `convert` and `knows_places` are for a STEP file, as
    in `step.step_parts`.
    Raises PosekitError.
    """
    given = {file: content for file, content in files.items() if ending(file) not in COLOURS}
    if files and not given:
        sentence = "has colours and no parts; bring the OBJ that names it, too"
        raise PosekitError([error("wrong-files", "", sentence, file=next(iter(files)))])
    alone = [file for file in given if ending(file) in ASSEMBLIES]
    if alone and len(given) > 1:
        sentence = "is a whole assembly and comes alone; bring the other files into a folder of their own"
        raise PosekitError([error("wrong-files", "", sentence, file=alone[0])])
    if not alone:
        return parts_of(given, name, unit, up, beside)
    file, content = alone[0], given[alone[0]]
    if ending(file) in STEPS:
        return step_parts(content, file, name, unit, up, convert, knows_places=knows_places)
    if unit not in (None, "m") or up not in (None, "z"):
        sentence = "is in metres and +Z is up, as a URDF says of itself; leave out unit and up"
        raise PosekitError([error("wrong-use", "", sentence, file=file)])
    return urdf_assembly(content, file, meshes_of(file), beside)
