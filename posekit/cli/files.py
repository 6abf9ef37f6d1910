"""Files the commands read and write: props, snapshots by file, look or typed text, results that overwrite nothing."""

from __future__ import annotations

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
    if Path(given).is_file():
        return Snapshot.read(given)
    if "@" in given:
        return Snapshot.parse(given, "snapshot")
    looks = in_folder(prop.files, LOOKS)
    if given in looks:
        return Snapshot.decode(prop.files[looks[given]], Path(looks[given]).suffix, looks[given])
    sentence = "is no file, no typed snapshot such as 1/9@128, and no look of this prop; "
    sentence += f"its looks are: {', '.join(looks) or 'none'}"
    raise PosekitError([error("unreadable", "", sentence, file=given)])


def write_result(path: str, content: bytes, ending: str, *, force: bool) -> None:
    """Write a result, whole or not at all. Only a GLB that posekit wrote is replaced without --force.

    Raises PosekitError for a name without the ending that says what is in the file.
    """
    place = Path(path)
    if place.suffix.lower() != ending:
        sentence = f"is no name for what is to be written; use one that ends in {ending}"
        raise PosekitError([error("wrong-file", "", sentence, file=path)])
    if place.exists() and not force and not _is_own_glb(place):
        sentence = "is there already and is no GLB that posekit wrote; use another name, or --force"
        raise PosekitError([error("exists", "", sentence, file=path)])
    write_whole(place, content)


def _is_own_glb(place: Path) -> bool:
    try:
        return bool(prop_files(place.read_bytes()))
    except (PosekitError, OSError):
        return False
