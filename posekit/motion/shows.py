"""Shows: what the drives are sent over time, whatever file it comes from."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import PurePosixPath

import numpy as np

from posekit.arrays import Array
from posekit.errors import Finding, PosekitError, error
from posekit.prop.model import Prop

CAPTURES = (".pcap", ".pcapng", ".cap")
KINDS = {".toml": "a cue list", ".csv": "a recorded stream", **dict.fromkeys(CAPTURES, "a capture")}
PICTURES = 25.0  # instants a second of animations and tables, close enough for any player
LONGEST = 24 * 3600.0  # s, so that a slip of the pen or a clock that jumps does not fill the memory
TOLD = 10  # problems of one kind that are told one by one


@dataclass(frozen=True, slots=True)
class Show:
    """Drive values (T, D) that arrive at times (T,) [s], each held until the next.

    Of a file with faults this is what could be read; `findings` tell every fault, at level `error` where
    something of the show is missing.
    """

    name: str
    times: Array
    values: Array
    findings: tuple[Finding, ...] = ()

    @property
    def duration(self) -> float:
        """Time [s] from the first frame to the last."""
        return float(self.times[-1] - self.times[0])


def read_show(prop: Prop, content: bytes, name: str) -> Show:
    """The show in the bytes of a file; the suffix of `name` says which kind.

    .toml: cues (see `cue_file`); .csv: a recorded stream (see `stream`); .pcap, .pcapng, .cap: captured E1.31
    packets (see `capture`). PosekitError if nothing of it can be read.
    """
    from posekit.motion import capture, cue_file, stream  # they build on this module

    match PurePosixPath(name.replace("\\", "/")).suffix.lower():
        case ".toml":
            return cue_file.read(prop, content, name)
        case ".csv":
            return stream.read(prop, content, name)
        case suffix if suffix in CAPTURES:
            return capture.read(prop, content, name)
    known = ", ".join(f"{suffix} ({kind})" for suffix, kind in KINDS.items())
    raise PosekitError([error("unreadable", "", f"is no show by its name; use {known}", file=name)])


def instants(show: Show, settled: float) -> Array:
    """Times [s] to look at a show, PICTURES a second, from its first frame until it ends and all rests (`settled`)."""
    return ticks(float(show.times[0]), max(settled, float(show.times[-1])), PICTURES)


def ticks(begin: float, end: float, rate: float) -> Array:
    """Times [s], `rate` a second, from `begin` to the first that is not before `end`.

    PosekitError where that is twice as long as any show may be, as when a drive is so slow that it needs days.
    """
    if end - begin > 2 * LONGEST:
        sentence = f"all rests only {end - begin:g} s after the show begins; use {2 * LONGEST:g} s or less: "
        sentence += "more speed and acceleration, or a shorter show"
        raise PosekitError([error("too-long", "motion", sentence)])
    return begin + np.arange(int(np.ceil((end - begin) * rate)) + 1) / rate


def some(findings: list[Finding], what: str) -> list[Finding]:
    """The findings, or where they are many, the first of them and how many more there are of the same kind."""
    if len(findings) <= TOLD + 1:
        return findings
    last = findings[-1]
    rest = f"and {len(findings) - TOLD} more {what} like these, the last: {last.subject}"
    return [*findings[:TOLD], Finding(last.level, last.code, "", rest, last.file)]
