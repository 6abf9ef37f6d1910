"""Paths, one rule for every door: folder, zip, link, GLB, `read`, `save` and server.

A name of a file inside a folder is checked by `inner` wherever it comes from, and means the same on every system.
A file on disk is taken by `read_within`: an ordinary file, never a pipe or a device, and never more than its budget.
What is asked for by a name inside a folder also goes through `file_inside`: no symbolic link leads out of the folder.
"""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Iterable, Iterator
from pathlib import Path

from posekit.budgets import FOLDER_FILES, MIB, PATH_DEPTH, PATH_LETTERS
from posekit.errors import Finding, PosekitError, error, unreadable

# Names that no file can have on Windows, where they mean a device in any folder and with any ending
# (Microsoft, "Naming Files, Paths, and Namespaces").
_DEVICE = re.compile(r"(con|prn|aux|nul|com[0-9¹²³]|lpt[0-9¹²³]|conin\$|conout\$)\s*(\..*)?", re.IGNORECASE)
_FORBIDDEN = re.compile(r'[<>:"|?*\\\x00-\x1f\x7f]')


def inner(path: str) -> str:
    """The path of a file inside a folder, if it is one on every system; folders in it are set apart by /.

    Raises PosekitError for one that is absolute, leads out of the folder, can be spelt in a second way (`a/./b`), or
    that some system takes for a drive, a device or no name at all.
    """
    if wrong := what_is_wrong(path):
        right = "use a path inside the folder, such as meshes/beak.stl"
        raise PosekitError([error("bad-path", "", f"{wrong}; {right}", file=path)])
    return path


def what_is_wrong(path: object) -> str:
    """Why a path is none of a file inside a folder, as the end of a sentence; empty if it is one."""
    if not isinstance(path, str):
        return f"is a {type(path).__name__} where the path of a file is needed"
    parts = path.split("/")
    if not path:
        return "is empty, so it names no file"
    if len(path) > PATH_LETTERS or len(parts) > PATH_DEPTH:
        return f"is too long for a path: it has more than {PATH_LETTERS} letters or {PATH_DEPTH} folders"
    if path.startswith("/") or ".." in parts:
        return "leads out of its folder"
    if "" in parts or "." in parts:
        return "has an empty part or a dot in its path"
    if found := _FORBIDDEN.search(path):
        return f"cannot be a file name on every system: it has {found[0]!r} in it"
    if not _encodes(path):
        return "is not text, so it cannot be a path"
    for part in parts:
        if _DEVICE.fullmatch(part):
            return f"cannot be a file name on every system: Windows takes {part!r} for a device"
        if part.endswith((".", " ")) or part.startswith(" "):
            return f"cannot be a file name on every system: {part!r} begins or ends with a space or ends with a dot"
    return ""


def problems_of(paths: Iterable[str]) -> list[Finding]:
    """What is wrong with the paths of one folder: with each, and with two that some system takes for one."""
    found: list[Finding] = []
    first: dict[str, str] = {}
    folders: dict[str, str] = {}
    listed = list(paths)
    for path in listed:
        if wrong := what_is_wrong(path):
            found.append(error("bad-path", "", f"{wrong}; rename it", file=str(path)))
            continue
        if (other := first.setdefault(path.casefold(), path)) != path:
            sentence = f"and {other} are the same file on systems that ignore capital letters; rename one"
            found.append(error("bad-path", "", sentence, file=path))
        parts = path.casefold().split("/")
        folders.update({"/".join(parts[:depth]): path for depth in range(1, len(parts))})
    for path in listed:
        if isinstance(path, str) and path.casefold() in folders:
            sentence = f"is a file, and a folder for {folders[path.casefold()]}; rename one"
            found.append(error("bad-path", "", sentence, file=path))
    return found


def file_inside(folder: Path, path: str) -> Path:
    """Where the file `path` of a folder is, or would be. Raises PosekitError if `path` or a symbolic link on the way
    leads out of the folder.
    """
    return staying(folder / inner(path), folder)


def staying(place: Path, folder: Path) -> Path:
    """The place itself. Raises PosekitError if a symbolic link on the way leads out of the folder."""
    try:
        end = place.resolve()
        # From Python 3.13 links in a circle are no error here: what is left over of them is a link still.
        circles = any(each.is_symlink() for each in (end, *end.parents))
        stays = end.is_relative_to(folder.resolve()) and not circles
    except (OSError, ValueError, RuntimeError):  # the last for links in a circle, before Python 3.13
        stays = False
    if not stays:
        sentence = "leads out of its folder by a symbolic link; put the file itself there"
        raise PosekitError([error("leads-outside", "", sentence, file=str(place))])
    return place


def files_inside(folder: Path, names: Iterable[str]) -> Iterator[tuple[str, Path]]:
    """Path from `folder` and place of each file in those of its folders `names`, sorted; not of hidden ones.

    Raises PosekitError for a symbolic link that leads out of `folder`, for what is no ordinary file, for a name that
    not every system takes, and OSError where a folder cannot be read.
    """
    count = 0
    for name in names:
        if os.path.islink(folder / name):
            file_inside(folder, name.rstrip("/"))
        for here, folders, files in os.walk(folder / name, onerror=_raised):
            folders[:] = sorted(each for each in folders if not each.startswith("."))
            for entry in folders:
                if os.path.islink(os.path.join(here, entry)):
                    sentence = "is a symbolic link to a folder; put the folder itself there"
                    raise PosekitError([error("leads-outside", "", sentence, file=os.path.join(here, entry))])
            for entry in sorted(files):
                if entry.startswith("."):
                    continue
                if (count := count + 1) > FOLDER_FILES:
                    sentence = f"holds more than {FOLDER_FILES} files; keep only the prop's own files there"
                    raise PosekitError([error("too-large", "", sentence, file=str(folder))])
                path = Path(here, entry).relative_to(folder).as_posix()
                yield path, file_inside(folder, path)


def seen_inside(folder: Path, names: Iterable[str]) -> Iterator[tuple[str, os.stat_result]]:
    """Place of each file that `files_inside` would give, and what the system tells of it; not one is judged or read.

    Quick enough to be asked again and again. Raises OSError.
    """
    count = 0
    for name in names:
        for here, folders, files in os.walk(folder / name):
            folders[:] = sorted(each for each in folders if not each.startswith("."))
            for entry in sorted(each for each in files if not each.startswith(".")):
                place = os.path.join(here, entry)
                yield place, os.stat(place)
                if (count := count + 1) > FOLDER_FILES:
                    return


def read_within(place: str | Path, most: int, what: str = "such a file", right: str = "") -> bytes:
    """The content of an ordinary file of at most `most` bytes.

    Raises PosekitError if it cannot be read, is a pipe, a device or a folder, or holds more; `what` is how the message
    calls what it should be, `right` what to do instead. It neither waits for a pipe nor reads more than `most` bytes.
    """
    try:
        # Without this a pipe that nobody writes to is waited for without end.
        handle = os.open(place, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
        try:
            about = os.fstat(handle)
            if not stat.S_ISREG(about.st_mode):
                raise ValueError("not an ordinary file, but a folder, pipe or device")
            content = b"" if about.st_size > most else _bytes_of(handle, most + 1)
        finally:
            os.close(handle)
    except (OSError, ValueError) as problem:
        raise unreadable(place, problem, right) from problem
    if (size := max(about.st_size, len(content))) > most:
        raise too_large(size, most, str(place), what)
    return content


def _bytes_of(handle: int, most: int) -> bytes:
    """What is left of an open file, up to `most` bytes. What grows while it is read is not read without end."""
    found: list[bytes] = []
    # Ends: each block that is not empty leaves less to read.
    while most > 0 and (block := os.read(handle, min(most, MIB))):
        found.append(block)
        most -= len(block)
    return b"".join(found)


def too_large(size: int, most: int, name: str, what: str) -> PosekitError:
    """The error for `size` bytes where at most `most` are taken."""
    sentence = f"has {megabytes(size)}; {what} may have {megabytes(most)} at most"
    return PosekitError([error("too-large", "", sentence, file=name)])


def megabytes(size: int) -> str:
    """A number of bytes, for people."""
    return f"{size / MIB:.1f} MiB" if size >= MIB else f"{size} bytes"


def _encodes(path: str) -> bool:
    try:
        path.encode()
    except UnicodeEncodeError:
        return False
    return True


def _raised(problem: OSError) -> None:
    # A folder that is not there is an empty one; one that cannot be read is told.
    if not isinstance(problem, FileNotFoundError):
        raise problem
