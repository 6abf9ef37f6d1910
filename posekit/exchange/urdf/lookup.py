"""Where the mesh files are that a URDF names, and which of those places it may reach.

A URDF may come from anyone, and what it names ends up in a prop that may be given to anyone. So it reaches ordinary
files with the ending of a mesh, in its reach alone: the folder it lies in, up to `FOLDERS_UP` of those above it, but
no home folder and no top of a disc, and what lies below these. What leads out of that, by `..`, by `file://` or by
a symbolic link, is refused; and each way down is a path by the one rule of `posekit.paths`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from os.path import abspath, exists
from pathlib import Path, PurePath, PurePosixPath

from posekit.budgets import FOLDERS_UP
from posekit.errors import PosekitError, error
from posekit.kinds import ending
from posekit.paths import read_within, staying, what_is_wrong
from posekit.text import listed

# The path of the mesh that a name stands for, and its content. PosekitError where there is none or it may not be read.
MeshFiles = Callable[[str], tuple[str, bytes]]

ENDINGS = (".stl", ".obj", ".ply", ".glb", ".dae")
_PACKAGE = ("package://", "model://")
_RIGHT = "put it there, or take it out of the URDF"


def on_disk(urdf: str | Path, most: int) -> MeshFiles:
    """The mesh files of a URDF at this path, each of at most `most` bytes."""
    folder = Path(
        abspath(urdf)
    ).parent  # not resolve(): a link to a folder of robots has its own folders above
    reach = reach_of(folder, _home())

    def found(filename: str) -> tuple[str, bytes]:
        looked = _places(reach, filename)
        for place in map(Path, looked):
            if exists(place):
                return str(place), read_within(staying(place, Path(reach[-1])), most, "a mesh file")
        raise _missing(filename, map(str, looked))

    return found


def among(files: Mapping[str, bytes], urdf: str) -> MeshFiles:
    """The mesh files of a URDF that is `urdf` among `files`, by path, as the page has a folder."""
    reach = reach_of(PurePosixPath("/files", urdf).parent)

    def found(filename: str) -> tuple[str, bytes]:
        looked = [place.relative_to("/files").as_posix() for place in _places(reach, filename)]
        for place in looked:
            if place in files:
                return place, files[place]
        raise _missing(filename, looked)

    return found


def reach_of(folder: PurePath, home: PurePath | None = None) -> list[PurePath]:
    """The folder of a URDF and those above it that are within its reach, the nearest first."""
    above: list[PurePath] = []
    for each in folder.parents[:FOLDERS_UP]:
        if each == each.parent or (home is not None and home.is_relative_to(each)):
            break
        above.append(each)
    return [folder, *above]


def _places(reach: list[PurePath], filename: str) -> list[PurePath]:
    """Where the file of this name may be, the likeliest first.

    `package://NAME/way` is looked for in a folder NAME, above the URDF or beside one above it, then as `way` from each
    folder of its reach, since a copy of a package often has another name; `file:///way` where it says; any other name
    from the folder of the URDF upward. Raises PosekitError for a name that leads out of reach, or is none of a mesh.
    """
    if ending(filename) not in ENDINGS:
        raise _refused(filename, f"is no mesh that posekit reads; export it as one of {listed(ENDINGS)}")
    for scheme in _PACKAGE:
        if filename.startswith(scheme):
            package, _, way = filename.removeprefix(scheme).lstrip("/").partition("/")
            _check(filename, f"{package}/{way}")
            itself = [here / way for here in reach if here.name == package]
            beside = [here / package / way for here in reach]
            return list(dict.fromkeys([*itself, *beside, *(here / way for here in reach)]))
    way = filename.removeprefix("file://")
    if "://" in way:
        raise _refused(filename, "is an address, and posekit fetches nothing; put the file beside the URDF")
    place = type(reach[0])(way)
    if way != filename or place.is_absolute():
        if not place.is_relative_to(reach[-1]):
            sentence = f"lies outside of {reach[-1]}; put it beside the URDF, and name it from there (meshes/arm.stl)"
            raise _refused(filename, sentence)
        _check(filename, place.relative_to(reach[-1]).as_posix())
        return [place]
    steps = way.removeprefix("./").split("/")
    up = next((count for count, step in enumerate(steps) if step != ".."), len(steps))
    if up >= len(reach):
        raise _refused(filename, f"leads out of {reach[-1]}; put it nearer to the URDF")
    inner = "/".join(steps[up:])
    _check(filename, inner)
    return [here / inner for here in reach[up:]]


def _home() -> Path | None:
    try:
        return Path.home()
    except RuntimeError:  # on a system that has none
        return None


def _check(filename: str, way: str) -> None:
    if wrong := what_is_wrong(way):
        raise _refused(filename, f"{wrong}; name it as meshes/arm.stl or package://NAME/meshes/arm.stl")


def _refused(filename: str, sentence: str) -> PosekitError:
    return PosekitError([error("bad-path", f"mesh '{filename}'", sentence)])


def _missing(filename: str, looked: Iterable[str]) -> PosekitError:
    sentence = f"is not there; it was looked for as {listed(looked)}; {_RIGHT}"
    return PosekitError([error("missing-file", f"mesh '{filename}'", sentence)])
