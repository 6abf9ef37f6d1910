"""Shows from files: which kinds there are, and who reads each."""

from __future__ import annotations

from posekit import kinds
from posekit.budgets import RECORDING_BYTES
from posekit.errors import PosekitError, error
from posekit.paths import too_large
from posekit.prop.model import Prop
from posekit.stream import capture, cue_file, recorded
from posekit.stream.show import Show

CALLED = {
    kinds.CUES: "a cue list",
    kinds.RECORDINGS: "a recorded stream",
    **dict.fromkeys(kinds.CAPTURES, "a capture"),
}


def read_show(prop: Prop, content: bytes, name: str) -> Show:
    """The show in the bytes of a file; the ending of `name` says which kind.

    .toml: cues (see `cue_file`); .csv: a recorded stream (see `recorded`); .pcap, .pcapng, .cap: captured E1.31
    packets (see `capture`). PosekitError if nothing of it can be read, or it is larger than `posekit.budgets` states.
    """
    ending = kinds.ending(name)
    if ending == kinds.CUES:
        return cue_file.read(prop, content, name)
    if ending not in CALLED:
        known = ", ".join(f"{each} ({called})" for each, called in CALLED.items())
        raise PosekitError(
            [error("unreadable", "", f"does not have the name of a show; use {known}", file=name)]
        )
    if len(content) > RECORDING_BYTES:
        raise too_large(len(content), RECORDING_BYTES, name, "a recording")
    return (
        recorded.read(prop, content, name)
        if ending == kinds.RECORDINGS
        else capture.read(prop, content, name)
    )
