"""Files the commands read and write: props, snapshots by file, look or typed text, results that overwrite nothing."""

from __future__ import annotations

from os.path import exists, isdir, isfile, lexists, samefile
from pathlib import Path

import click

from posekit.budgets import GLB_BYTES
from posekit.errors import PosekitError, error
from posekit.mechanism.bench import BENCH_POSES, bench_snapshot
from posekit.paths import read_within
from posekit.prop import glb
from posekit.prop.beside import all_files
from posekit.prop.difference import digest
from posekit.prop.folder import LOOKS, in_folder
from posekit.prop.model import Prop
from posekit.prop.reader import prop_path
from posekit.prop.writer import save_over, write_whole
from posekit.signal.snapshot import Snapshot
from posekit.text import listed
from posekit.toml.reading import tables

BENCH_WORDS = {**dict(zip(BENCH_POSES, BENCH_POSES, strict=True)), "1500us": "neutral"}


def given_snapshot(prop: Prop, given: str) -> Snapshot:
    """The snapshot meant by a word of the command line: a pose for the bench, a file, typed text, or a look.

    A pose for the bench begins with @, which no typed text does and no look can; a file of such a name is ./@name.
    """
    if given.startswith("@") and given[1:] in BENCH_WORDS:
        return bench_snapshot(prop, BENCH_WORDS[given[1:]])
    if isfile(given):  # which, unlike Path.is_file, takes typed text of any length
        return Snapshot.read(given)
    if "@" in given and not given.startswith("@"):
        return Snapshot.parse(given, "snapshot")
    looks = in_folder(prop.files, LOOKS)
    if given in looks:
        return Snapshot.decode(prop.files[looks[given]], Path(looks[given]).suffix, looks[given])
    sentence = "is not a file, a typed snapshot such as 1/9@128, or a look of this prop; "
    sentence += (
        f"its looks are: {listed(looks)}; poses for the bench: {listed('@' + word for word in BENCH_WORDS)}"
    )
    raise PosekitError([error("unreadable", "", sentence, file=given)])


def must_be_free(path: str, ending: str, *, force: bool, prop: Prop | None = None, model: str = "") -> None:
    """Refuse, before any work, a place for a result that has another ending than says what will be in the file,
    lies in no folder, or holds a file; a folder, pipe or device always.

    Without --force only a GLB with a pose of the same `prop` is replaced, and not one that is write-protected, a
    symbolic link, or the very `model` that is read.
    """
    place = Path(path)
    if place.suffix.lower() != ending:
        sentence = f"cannot be written: use a name that ends in {ending}"
        raise PosekitError([error("wrong-file", "", sentence, file=path)])
    if not isdir(place.parent):
        sentence = f"cannot be written: the folder {place.parent} does not exist; make it first"
        raise PosekitError([error("no-folder", "", sentence, file=path)])
    if isdir(place) or (exists(place) and not isfile(place)):
        sentence = "is a folder, pipe or device, which is never replaced; use another name"
        raise PosekitError([error("exists", "", sentence, file=path)])
    if lexists(place) and not force and (why := _why_kept(place, prop if ending == ".glb" else None, model)):
        raise PosekitError([error("exists", "", f"{why}; use another name, or --force", file=path)])


def write_result(
    path: str, content: bytes, ending: str, *, force: bool, prop: Prop | None = None, model: str = ""
) -> None:
    """Write a result where it may stand, whole or not at all."""
    must_be_free(path, ending, force=force, prop=prop, model=model)
    write_whole(path, content)
    note_written(path)


def written_into(model: str) -> Path:
    """The prop file of a folder that is to be changed. Raises PosekitError for a GLB, which is a picture of a prop."""
    place = prop_path(model)
    if place.suffix.lower() == ".glb":
        sentence = "is a GLB, a picture of a prop; give the prop folder, or make one of it with posekit edit -o FOLDER"
        raise PosekitError([error("wrong-use", "--write", sentence, file=str(place))])
    return place


def write_prop(model: str, read: Prop, prop: Prop) -> Path:
    """Write what changed from `read` to `prop` into the folder that it was read from, and give its prop file.

    Raises PosekitError, also where a file was changed on disk meanwhile; nothing is written then.
    """
    place = written_into(model)
    changes, before = changed_files(read, prop), all_files(read)
    over = {path: digest(before[path]) if path in before else None for path in changes}
    save_over(place.parent, changes, over)
    note_written(str(place))
    return place


def changed_files(old: Prop, new: Prop) -> dict[str, bytes | None]:
    """The files that change; None for one that goes."""
    before, after = all_files(old), all_files(new)
    gone: dict[str, bytes | None] = dict.fromkeys(path for path in before if path not in after)
    return gone | {path: content for path, content in after.items() if before.get(path) != content}


def note_written(path: str) -> None:
    """Keep in mind that a file was written, for the case that the command does not come to its end."""
    context = click.get_current_context(silent=True)
    if context is not None and isinstance(context.obj, list):
        context.obj.append(path)


def _why_kept(place: Path, prop: Prop | None, model: str) -> str:
    """Why a file that is there must not be replaced without being told to; empty if it may be."""
    if place.is_symlink():
        return "is a symbolic link"
    if not place.stat().st_mode & 0o222:
        return "is write-protected"
    if exists(model) and samefile(model, place):
        return "is the prop that is read"
    if prop is None or not _holds_pose_of(prop, place):
        return "already exists" + (f" and is not a GLB with a pose of '{prop.name}'" if prop else "")
    return ""


def _holds_pose_of(prop: Prop, place: Path) -> bool:
    try:
        carried = glb.read(read_within(place, GLB_BYTES))
        name = tables(carried.text, str(place)).get("name")
    except PosekitError:
        return False
    return carried.state is not None and not carried.is_animated and name == prop.name
