"""Files the commands read and write: props, snapshots by file, look or typed text, results that overwrite nothing."""

from __future__ import annotations

from os.path import exists, isfile
from pathlib import Path

import click

from posekit.errors import PosekitError, error
from posekit.prop.folder import LOOKS, in_folder
from posekit.prop.glb import prop_files
from posekit.prop.model import Prop
from posekit.prop.writer import write_whole
from posekit.signal.snapshot import Snapshot

force_option = click.option("--force", is_flag=True, help="Replace a file that is there already.")


def snapshot_of(prop: Prop, given: str) -> Snapshot:
    """The snapshot meant by a word of the command line: a file, typed text with @, or a look of the prop."""
    if isfile(given):  # which, unlike Path.is_file, takes typed text of any length
        return Snapshot.read(given)
    if "@" in given:
        return Snapshot.parse(given, "snapshot")
    looks = in_folder(prop.files, LOOKS)
    if given in looks:
        return Snapshot.decode(prop.files[looks[given]], Path(looks[given]).suffix, looks[given])
    sentence = "is no file, no typed snapshot such as 1/9@128, and no look of this prop; "
    sentence += f"its looks are: {', '.join(looks) or 'none'}"
    raise PosekitError([error("unreadable", "", sentence, file=given)])


def must_be_free(path: str, ending: str, *, force: bool) -> None:
    """Refuse, before any work, a place for a result that has another ending than says what will be in the file,
    or holds a file. Only a GLB that posekit wrote is replaced without --force.
    """
    place = Path(path)
    if place.suffix.lower() != ending:
        sentence = f"is no name for what is to be written; use one that ends in {ending}"
        raise PosekitError([error("wrong-file", "", sentence, file=path)])
    if exists(place) and not force and not _is_own_glb(place):
        sentence = "is there already and is no GLB that posekit wrote; use another name, or --force"
        raise PosekitError([error("exists", "", sentence, file=path)])


def write_result(path: str, content: bytes, ending: str, *, force: bool) -> None:
    """Write a result where it may stand, whole or not at all."""
    must_be_free(path, ending, force=force)
    write_whole(path, content)


def _is_own_glb(place: Path) -> bool:
    try:
        return bool(prop_files(place.read_bytes()))
    except (PosekitError, OSError):
        return False
