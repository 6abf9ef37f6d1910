"""Another name for a part or a file, wherever it stands."""

from __future__ import annotations

from pathlib import PurePosixPath

from posekit.authoring.notes import renamed, renamed_files
from posekit.authoring.parts import Kind, must_be_free, must_be_there, rewritten
from posekit.authoring.references import cues_with_drive, cues_with_look, naming, naming_file
from posekit.errors import PosekitError, error
from posekit.paths import inner
from posekit.prop.model import Prop
from posekit.textfile import decoded
from posekit.toml import editing


def rename(prop: Prop, kind: Kind, name: str, new: str) -> Prop:
    """The prop with another name for a part of this kind: its tables, all that names it, cues of shows, notes.

    Comments stay as they are, those that speak of it, too. To and fro gives the text again, but for names that need
    quotes in one of the two. Raises PosekitError for a part that is not there and a name that is taken.
    """
    must_be_there(prop, kind, name)
    if new == name:
        return prop
    must_be_free(prop, kind, new)
    text = editing.rename_values(prop.text, naming(prop, kind, name), new)
    text = editing.rename(text, (kind, name), new)
    files = dict(prop.files)
    for file, paths in (cues_with_drive(prop, name) if kind == "drives" else {}).items():
        show = decoded(files[file], file)
        for path in paths:
            show = editing.rename(show, path, new)
        files[file] = show.encode()
    if kind == "links":
        files = renamed(prop, files, "part", {name: new})
    return rewritten(prop, text, files)


def rename_file(prop: Prop, path: str, new: str) -> Prop:
    """The prop with another name for a file beside it, in the prop file, in cues of shows and in notes, too.

    Both are paths from the folder, such as looks/alert.csv. A mesh takes the pieces that are called after it along.
    Raises PosekitError for a file that is not there, a name that is taken, and another folder or ending.
    """
    if path not in prop.files:
        raise PosekitError([error("unknown-file", "", "is not beside the prop file", file=path)])
    if new == path:
        return prop
    old_place, place = PurePosixPath(path), PurePosixPath(inner(new))
    if place.parts[0] != old_place.parts[0] or place.suffix.lower() != old_place.suffix.lower():
        sentence = f"must stay in {old_place.parts[0]}/ and end in {old_place.suffix}, by which it is read"
        raise PosekitError([error("wrong-file", "", sentence, file=new)])
    moved = {path: new}
    pieces, new_pieces = (str(each.with_suffix(".pieces.json")) for each in (old_place, place))
    if naming_file(prop, path) and pieces in prop.files:
        moved[pieces] = new_pieces
    taken = {each.casefold() for each in prop.files if each not in moved}
    for each in moved.values():
        if each.casefold() in taken:
            sentence = "already exists; replace it, or use another name"
            raise PosekitError([error("name-taken", "", sentence, file=each)])
    text = prop.text
    files = {moved.get(each, each): content for each, content in prop.files.items()}
    for old, to in moved.items():
        text = editing.rename_values(text, naming_file(prop, old), to)
    for file, paths in cues_with_look(prop, path).items():
        files[file] = editing.rename_values(decoded(files[file], file), paths, new).encode()
    return rewritten(prop, text, renamed_files(prop, files, moved))
