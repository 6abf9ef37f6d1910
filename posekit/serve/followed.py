"""The prop in front as it is on disk: read again whenever it changes, and written to when the page saves.

Whether something has changed is asked of the system with every look (time, size and number of each file), which reads
nothing; what it says is believed once it is SETTLED_S old, because clocks of file systems are coarse. What a file holds
is told by its digest, and that alone decides what is the same.
"""

from __future__ import annotations

import hashlib
import os
import threading
import time
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import posekit
from posekit.errors import Finding, PosekitError, error
from posekit.paths import seen_inside
from posekit.prop.difference import digest
from posekit.prop.folder import LOOKS, MESHES, NOTES_FILE, PROP_FILE, SHOWS, belongs
from posekit.prop.model import Prop
from posekit.prop.reader import files_of, prop_path, read
from posekit.prop.writer import save_over

SETTLED_S = 2.0  # the coarsest clock of a file system in use, that of FAT
TRIES = 3  # to read the files between two writes; what is written all the time is taken as it is found

# Of each file its path, number, size, time, and the latest of its times; or why they cannot be told.
Stamps = tuple[tuple[str, int, int, int, int] | str, ...]


@dataclass(frozen=True, slots=True)
class State:
    """How the prop stands on disk.

    `prop` and `files` are those last read without an error, `hashes` their digests by path. `findings` is what is wrong
    with those that are there now. `disk` are these, as far as they can be read; None if they cannot.
    """

    prop: Prop
    files: Mapping[str, bytes]
    hashes: Mapping[str, str]
    findings: tuple[Finding, ...] = ()
    disk: Mapping[str, bytes] | None = None

    @property
    def name(self) -> str:
        """A name that is another one for any other state."""
        told = [*self.hashes.items(), *map(str, self.findings)]
        return digest(repr(told).encode())[:16]


class Followed:
    """A prop of the builder's, followed on disk. Raises PosekitError for one that cannot be read to begin with."""

    def __init__(self, model: str | Path) -> None:
        self.file = prop_path(Path(model).resolve())
        self.folder = self.file.parent
        self.is_folder = self.file.name == PROP_FILE
        self.name = shown_name(self.file)
        self.place = hashlib.sha256(str(self.file).encode("utf-8", "surrogatepass")).hexdigest()[:16]
        self.read_only = _why_read_only(self)
        self._lock = threading.Lock()
        # Of what was read last; None while they may be those of another content.
        self._stamps_read: Stamps | None = None
        named = prop_path(model)  # what is wrong with it is told by the name that was given
        files = files_of(named)
        self._state = _good(read(files, str(named)), files)

    def look(self) -> State:
        """How it stands now. Where another look is at it already, and may wait for a slow disk, as it stood before."""
        if self._lock.acquire(blocking=False):
            try:
                self._renew()
            finally:
                self._lock.release()
        return self._state

    def save(self, files: Mapping[str, bytes | None], over: Mapping[str, str | None]) -> State:
        """Write files over those on disk that have these digests, None for one that is not there; None removes.

        Raises PosekitError, and then nothing is written, if the prop cannot be written to, if a file on disk is another
        one, or if the prop could not be read afterwards.
        """
        if self.read_only:
            raise PosekitError([error("read-only", "", self.read_only, file=str(self.file))])
        if strange := [path for path in files if not belongs(path)]:
            sentence = (
                "is no file of a prop; only prop.toml, notes.json, meshes/, looks/ and shows/ are saved"
            )
            raise PosekitError([error("bad-path", "", sentence, file=path) for path in strange])
        with self._lock:
            self._renew()
            after = {**(self._state.disk or {}), **files}
            read({path: content for path, content in after.items() if content is not None}, PROP_FILE)
            save_over(self.folder, files, over)
            self._stamps_read = None
            self._renew()
        return self._state

    def _renew(self) -> None:
        stamps = self._stamps()
        if stamps == self._stamps_read:
            return
        disk: dict[str, bytes] | None = None
        try:
            disk, stamps = self._whole(stamps)
            if disk != self._state.disk:
                self._state = _good(read(disk, self.file.name), disk)
        except PosekitError as problem:
            self._state = replace(self._state, findings=problem.findings, disk=disk)
        self._stamps_read = None if _is_young(stamps) else stamps

    def _whole(self, stamps: Stamps) -> tuple[dict[str, bytes], Stamps]:
        """The files, read while nobody wrote them, if that can be had."""
        for _ in range(TRIES):
            before, disk, stamps = stamps, files_of(self.file), self._stamps()
            if before == stamps:
                break
        return disk, stamps

    def _stamps(self) -> Stamps:
        try:
            own = [self.file, self.folder / NOTES_FILE] if self.is_folder else [self.file]
            top = [(each.name, os.stat(each)) for each in own if each == self.file or each.exists()]
            beside = seen_inside(self.folder, (MESHES, LOOKS, SHOWS) if self.is_folder else ())
            return tuple(_stamp(*each) for each in (*top, *beside))
        except OSError as problem:
            return (str(problem),)


def shown_name(file: Path) -> str:
    """The name under which a site has the prop of this file: that of its folder, or of the GLB."""
    return file.parent.name if file.name == PROP_FILE else file.stem


def _stamp(path: str, about: os.stat_result) -> tuple[str, int, int, int, int]:
    return path, about.st_ino, about.st_size, about.st_mtime_ns, max(about.st_mtime_ns, about.st_ctime_ns)


def _is_young(stamps: Stamps) -> bool:
    """Whether a file changed so short a time ago that another change may have the same stamp."""
    now = time.time_ns()
    return any(0 <= now - stamp[-1] < SETTLED_S * 1e9 for stamp in stamps if not isinstance(stamp, str))


def _good(prop: Prop, files: Mapping[str, bytes]) -> State:
    return State(prop, files, {path: digest(content) for path, content in files.items()}, (), files)


def _why_read_only(followed: Followed) -> str:
    if not followed.is_folder:
        return "is one file that posekit wrote, not a prop folder, so nothing is saved into it; save a prop folder"
    if followed.folder.is_relative_to(Path(posekit.__file__).parent):
        return "came with posekit, so nothing is saved into it; copy the folder and show the copy"
    if not os.access(followed.folder, os.W_OK):
        return "lies in a folder that you may not write to; change that, or show a copy"
    return ""
