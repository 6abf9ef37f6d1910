"""Writes: one key of a prop file changed with comments and order kept, and files whole or not at all."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterable, Mapping
from contextlib import suppress
from pathlib import Path as FilePath
from typing import Any

from posekit.budgets import FOLDER_BYTES
from posekit.errors import PosekitError, error
from posekit.paths import file_inside, problems_of, read_within
from posekit.prop.difference import digest
from posekit.prop.folder import PROP_FILE
from posekit.prop.model import Prop
from posekit.prop.reader import read
from posekit.text import listed
from posekit.toml.editing import path_of, set_key, set_keys


def edit(prop: Prop, key_path: str, value: Any) -> Prop:
    """The prop with one key changed, its text otherwise as the builder wrote it.

    `key_path` is as in messages: `drives.jaw.pulse.low`, `links.body.shapes[0].colour`,
    `drives."arm.left".address`. Tables on the way are made where missing;
    None removes the key; numbers of NumPy and arrays are taken as such.
    Raises PosekitError if the result is no valid prop.
    """
    content = set_key(prop.text, key_path, value).encode()
    return read({**prop.files, PROP_FILE: content}, PROP_FILE)


def edit_all(prop: Prop, changes: Mapping[str, Any]) -> Prop:
    """The same with several keys changed at once, so that a table can come with all that it needs."""
    content = set_keys(prop.text, {path_of(key): value for key, value in changes.items()}).encode()
    return read({**prop.files, PROP_FILE: content}, PROP_FILE)


def save(prop: Prop, folder: str | FilePath) -> None:
    """Write the prop file and the files beside it into `folder`, which is made if only it itself is missing.

    Each file is written whole or not at all, and none outside of the folder. Raises PosekitError.
    """
    files = {**prop.files, PROP_FILE: prop.text.encode()}
    if wrong := problems_of(files):
        raise PosekitError(wrong)
    top = FilePath(folder)
    make_folder(top)
    _write_all(files, top)


def _write_all(files: Mapping[str, bytes], top: FilePath) -> None:
    for path, content in files.items():
        place = file_inside(top, path)
        try:
            place.parent.mkdir(parents=True, exist_ok=True)
        except OSError as problem:
            raise _unwritable(place.parent, problem) from problem
        write_whole(place, content)


def save_over(
    folder: str | FilePath, files: Mapping[str, bytes | None], over: Mapping[str, str | None]
) -> None:
    """Write files into the folder of a prop, each only in the place of the one that it is meant to replace.

    None for a file removes it. `over` has for each the `digest` of the file that stands there, None where there is
    none. All are looked at before the first is written, so that a change on disk leaves all of them as they are;
    `prop.toml` comes after the files that it names, what is removed after that. A file that changes its name in capital
    letters alone is one file on many systems: there the old name goes first. Raises PosekitError.
    """
    if wrong := problems_of(path for path, content in files.items() if content is not None):
        raise PosekitError(wrong)
    top = FilePath(folder)
    old_name = _renamed(files)
    order = {path: 3 if files[path] is None else 2 if path == PROP_FILE else 1 for path in files}
    order.update(dict.fromkeys(old_name.values(), 0))
    ordered = sorted(files, key=lambda path: (order[path], path))
    places = {path: file_inside(top, path) for path in ordered}
    # Where capital letters do not count, the file of the new name is there already: it is the one of the old name.
    there = {new: over.get(old) for new, old in old_name.items() if _are_one(places[new], places[old])}
    over = {**over, **there}
    _still_there(places, over)
    unfinished: dict[str, str] = {}
    done: list[str] = []
    path = ""
    try:
        for path in ordered:
            content = files[path]
            if content is not None:
                places[path].parent.mkdir(parents=True, exist_ok=True)
                unfinished[path] = _unfinished(places[path], content)
        _still_there(places, over)  # once more, for to write what is large takes its time
        for path in ordered:
            if path in unfinished:
                os.replace(unfinished[path], places[path])
                del unfinished[path]
            else:
                places[path].unlink()
            done.append(path)
    except OSError as problem:
        raise _unwritable(places[path], problem, done) from problem
    finally:
        for left in unfinished.values():
            with suppress(OSError):
                os.unlink(left)


def _renamed(files: Mapping[str, bytes | None]) -> dict[str, str]:
    """The old name by the new one, of files whose names change in capital letters alone."""
    removed = {path.casefold(): path for path, content in files.items() if content is None}
    written = [path for path, content in files.items() if content is not None]
    return {path: removed[path.casefold()] for path in written if path.casefold() in removed}


def _are_one(one: FilePath, other: FilePath) -> bool:
    return os.path.exists(one) and os.path.exists(other) and os.path.samefile(one, other)


def save_new(prop: Prop, folder: str | FilePath, beside: Mapping[str, bytes] | None = None) -> None:
    """Write a prop into a folder that does not exist yet, whole or not at all; `beside` are files that are kept in it
    and are no part of the prop. Raises PosekitError, also for a place that is taken.
    """
    write_new({**prop.files, **(beside or {}), PROP_FILE: prop.text.encode()}, folder)


def write_new(files: Mapping[str, bytes], folder: str | FilePath) -> None:
    """Write files by their paths into a folder that does not exist yet, whole or not at all.

    Raises PosekitError, also for a place that is taken.
    """
    top = FilePath(folder)
    if wrong := problems_of(files):
        raise PosekitError(wrong)
    must_be_new(top)
    try:
        unfinished = FilePath(tempfile.mkdtemp(dir=top.parent, prefix=f".{top.name}."))
    except (OSError, ValueError) as problem:
        raise _unwritable(top, problem) from problem
    try:
        _write_all(files, unfinished)
        must_be_new(top)  # once more: it took a while
        os.chmod(unfinished, _folder_mode())
        os.rename(unfinished, top)
    except OSError as problem:
        raise _unwritable(top, problem) from problem
    finally:
        shutil.rmtree(unfinished, ignore_errors=True)  # gone already where all went well


def must_be_new(folder: str | FilePath) -> None:
    """Refuse a place for a new folder where anything is already. Raises PosekitError."""
    if os.path.lexists(folder):
        sentence = "is there already, and nothing in it is overwritten; name a new folder"
        raise PosekitError([error("exists", "", sentence, file=str(folder))])


def make_folder(path: str | FilePath) -> None:
    """Make a folder that is not there yet, in one that is: a slip in a path is told, not built.

    Raises PosekitError.
    """
    try:
        FilePath(path).mkdir(exist_ok=True)
    except (OSError, ValueError) as problem:
        raise _unwritable(path, problem) from problem


def write_whole(path: str | FilePath, content: bytes) -> None:
    """Write a file, in a folder that is there, so that a crash leaves the old one or the new one, never a half.

    Raises PosekitError if the place cannot be written, or is a folder, pipe or device.
    """
    place = FilePath(path)
    try:
        unfinished = _unfinished(place, content)
        try:
            os.replace(unfinished, place)
        except BaseException:
            os.unlink(unfinished)
            raise
    except (OSError, ValueError) as problem:  # ValueError: of a name that no file can have
        raise _unwritable(place, problem) from problem


def _unfinished(place: FilePath, content: bytes) -> str:
    """The whole content in a file beside its place, which it has yet to take."""
    if place.exists() and not place.is_file():
        raise OSError(0, "there is a folder, pipe or device of that name")
    handle, unfinished = tempfile.mkstemp(dir=place.parent, prefix=f".{place.name}.")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        os.chmod(unfinished, _mode_of(place))
    except BaseException:
        os.unlink(unfinished)
        raise
    return unfinished


def _still_there(places: Mapping[str, FilePath], over: Mapping[str, str | None]) -> None:
    """Raises PosekitError for files that are not, or no longer, those that are to be replaced."""
    changed = [path for path, place in places.items() if _digest_of(place) != over.get(path)]
    if changed:
        sentence = "has changed on disk meanwhile; look at the difference again. Nothing was written"
        raise PosekitError([error("changed-on-disk", "", sentence, file=path) for path in changed])


def _digest_of(place: FilePath) -> str | None:
    return digest(read_within(place, FOLDER_BYTES, "a file of a prop")) if os.path.lexists(place) else None


# What to do about what the system says where something is written.
_RIGHT: Mapping[type[Exception], str] = {
    FileNotFoundError: "; make its folder first",
    PermissionError: "; take a place where you may write, or have it made writable",
}


def _unwritable(
    place: str | FilePath, problem: OSError | ValueError, done: Iterable[str] = ()
) -> PosekitError:
    reason = getattr(problem, "strerror", None) or problem
    right = next((does for kind, does in _RIGHT.items() if isinstance(problem, kind)), "")
    right += f"; written before it: {listed(done)}" if done else ""
    return PosekitError([error("unwritable", "", f"cannot be written ({reason}){right}", file=str(place))])


def _folder_mode() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return 0o777 & ~mask


def _mode_of(place: FilePath) -> int:
    # mkstemp makes files only the owner can read; a result is an ordinary file, or stays as it was.
    if place.exists():
        return place.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
