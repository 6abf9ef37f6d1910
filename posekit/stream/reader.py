"""Shows from files: which kinds there are, and who reads each."""

from __future__ import annotations

from pathlib import PurePosixPath

from posekit.errors import PosekitError, error
from posekit.prop.model import Prop
from posekit.stream import capture, cue_file, recorded
from posekit.stream.show import Show

CAPTURES = (".pcap", ".pcapng", ".cap")
KINDS = {".toml": "a cue list", ".csv": "a recorded stream", **dict.fromkeys(CAPTURES, "a capture")}


def read_show(prop: Prop, content: bytes, name: str) -> Show:
    """The show in the bytes of a file; the suffix of `name` says which kind.

    .toml: cues (see `cue_file`); .csv: a recorded stream (see `recorded`); .pcap, .pcapng, .cap: captured E1.31
    packets (see `capture`). PosekitError if nothing of it can be read.
    """
    match PurePosixPath(name.replace("\\", "/")).suffix.lower():
        case ".toml":
            return cue_file.read(prop, content, name)
        case ".csv":
            return recorded.read(prop, content, name)
        case suffix if suffix in CAPTURES:
            return capture.read(prop, content, name)
    known = ", ".join(f"{suffix} ({kind})" for suffix, kind in KINDS.items())
    raise PosekitError([error("unreadable", "", f"is no show by its name; use {known}", file=name)])
