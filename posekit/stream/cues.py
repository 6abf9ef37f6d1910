"""Cues: looks that fade into each other, rendered frame by frame as a controller would send them.

A show starts at the rest values: its first frame is always these, so that the way from rest to the first cue
is part of the motion. A first cue without a fade comes with the second frame; no other cue shifts. What a cue
does not name stays as it was, one byte of a 16-bit drive too. At each frame a fade is rounded
to values that exist: whole numbers 0..255, or 0..65535 for a 16-bit drive.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import PurePosixPath

import numpy as np

from posekit.arrays import Array, Whole
from posekit.budgets import DAY_S
from posekit.errors import Finding, PosekitError, error
from posekit.fields import key
from posekit.prop.folder import LOOKS, in_folder
from posekit.prop.model import Prop
from posekit.signal.patch import patched, slots_of
from posekit.signal.snapshot import TOP, Slot, Snapshot
from posekit.stream.e111 import refresh_rate
from posekit.stream.show import Show, most_frames
from posekit.text import exact

RATE = 44.0  # Hz, what a full universe can do by E1.11
NEAR = 1e-9  # s; a cue that starts on a frame starts with it, whatever the sums of times round to
BLOCK = 1 << 15  # frames at once, so that a long show needs little memory beside itself


@dataclass(frozen=True, slots=True, kw_only=True)
class Cue:
    """A look with its fade. Exactly one of `look`, `text` and `values` says what it is."""

    name: str = key("name of the cue")
    look: str | None = key("file of a look, from the prop folder", default=None)
    text: str | None = key("slots as typed text", default=None)
    values: Mapping[str, int] = field(default_factory=dict)
    fade: float = key("time to fade in", unit="s", default=0.0, least=0, most=DAY_S)
    hold: float = key("time to hold after the fade", unit="s", default=0.0, least=0, most=DAY_S)


@dataclass(frozen=True, slots=True, kw_only=True)
class CueList:
    """Cues in the order they run, sampled `rate` times a second."""

    name: str
    cues: tuple[Cue, ...]
    rate: float = RATE


@dataclass(frozen=True, slots=True)
class Look:
    """Values (D,) of a snapshot, which of their bits it gives (D,), and what is told of it.

    Of a 16-bit drive it may give the coarse byte alone, or the fine one.
    """

    values: Whole
    given: Whole
    findings: tuple[Finding, ...]


def render(prop: Prop, cue_list: CueList) -> Show:
    """The frames of the cues. PosekitError where a cue asks for what the prop does not have."""
    problems: list[Finding] = [*_rate_problems(prop, cue_list.rate), *_size_problems(prop, cue_list)]
    notes: list[Finding] = []
    looks: dict[str, Look] = {}
    stands = [np.array([drive.rest_value for drive in prop.drives], dtype=float)]
    for number, cue in enumerate(cue_list.cues):
        try:
            stands.append(_values(prop, cue, stands[-1], f"cues[{number}]", looks, notes))
        except PosekitError as refused:
            problems += refused.findings
    if problems:
        raise PosekitError(problems)
    times, values = _sample(np.array(stands), cue_list)
    return Show(cue_list.name, times, values, tuple(notes))


def _size_problems(prop: Prop, cue_list: CueList) -> list[Finding]:
    """No cue at all, or more time or frames than a show may have."""
    if not cue_list.cues:
        return [error("empty-show", "cues", "there are no cues; add [[cues]]")]
    span = _span(cue_list)
    if span > DAY_S:
        return [error("out-of-range", "cues", f"run {exact(span)} s in all; use {exact(DAY_S)} s or less")]
    most = most_frames(len(prop.drives))
    if span * cue_list.rate > most:
        sentence = (
            f"run {exact(span)} s in all, {span * cue_list.rate:.0f} frames at a rate of "
            f"{exact(cue_list.rate)}; a show of "
            f"{len(prop.drives)} drives has {most} frames at most: make it shorter or its rate lower"
        )
        return [error("too-many-frames", "cues", sentence)]
    return []


def _span(cue_list: CueList) -> float:
    return sum(cue.fade + cue.hold for cue in cue_list.cues)


def _sample(stands: Array, cue_list: CueList) -> tuple[Array, Array]:
    """Frames (T,) [s] and values (T, D) of cues whose values are `stands` (cues + 1, D), the rest values first."""
    fade = np.array([cue.fade for cue in cue_list.cues])
    starts = np.concatenate([[0.0], np.cumsum(fade + [cue.hold for cue in cue_list.cues])])
    steps = max(int(np.ceil(starts[-1] * cue_list.rate - NEAR)), 1)
    times = np.arange(steps + 1) / cue_list.rate
    cue = np.clip(np.searchsorted(starts, times + NEAR, side="right") - 1, 0, len(fade) - 1)
    elapsed = times - starts[cue]
    share = np.where(elapsed + NEAR >= fade[cue], 1.0, elapsed / np.maximum(fade[cue], NEAR))
    share = np.clip(share, 0.0, 1.0)[:, None]
    values = np.empty((len(times), stands.shape[1]))
    for a in range(0, len(times), BLOCK):
        part, now = cue[a : a + BLOCK], share[a : a + BLOCK]
        # Half rounds up, as percentages do.
        values[a : a + BLOCK] = np.floor(stands[part] * (1.0 - now) + stands[part + 1] * now + 0.5)
    values[0] = stands[0]
    return times, values


def _rate_problems(prop: Prop, rate: float) -> list[Finding]:
    universes = {universe for drive in prop.drives for universe, _ in slots_of(drive)}
    used = {u: max(a for drive in prop.drives for v, a in slots_of(drive) if v == u) for u in universes}
    return [
        error(
            "rate-too-high",
            "rate",
            f"= {exact(rate)}: universe {universe} needs {slots} slots, for which E1.11 allows "
            f"{refresh_rate(slots):.2f} Hz at most",
        )
        for universe, slots in sorted(used.items())
        if rate > refresh_rate(slots)
    ]


def _values(
    prop: Prop, cue: Cue, before: Array, place: str, looks: dict[str, Look], notes: list[Finding]
) -> Array:
    values = before.copy()
    if cue.look is None and cue.text is None:
        column = {drive.name: d for d, drive in enumerate(prop.drives)}
        problems = list(_value_problems(prop, cue, place))
        if problems:
            raise PosekitError(problems)
        for name, value in cue.values.items():
            values[column[name]] = value
        return values
    if cue.look is None:
        look = _patched(prop, _typed(cue.text or "", place))
    elif cue.look in looks:  # as many cues may take one look, it is read once
        look = looks[cue.look]
    else:
        look = looks[cue.look] = _patched(prop, _look(prop, cue.look, place))
    values = (before.astype(np.int64) & ~look.given | look.values & look.given).astype(np.float64)
    notes += [replace(finding, subject=f"{place}.{finding.subject}") for finding in look.findings]
    return values


def _patched(prop: Prop, snapshot: Snapshot) -> Look:
    _, told = patched(prop, snapshot)
    bits = {slot: TOP for slot in snapshot.slots}
    # What a cue does not name stays as it was.
    findings = tuple(finding for finding in told if finding.code != "missing-address")
    return Look(_by_drive(prop, snapshot.slots), _by_drive(prop, bits), findings)


def _by_drive(prop: Prop, slots: Mapping[Slot, int]) -> Whole:
    """What slots hold for each drive (D,); 0 where they hold nothing."""
    octets = [bytes(slots.get(slot, 0) for slot in slots_of(drive)) for drive in prop.drives]
    return np.array([int.from_bytes(each, "big") for each in octets], np.int64)


def _value_problems(prop: Prop, cue: Cue, place: str) -> list[Finding]:
    by_name = {drive.name: drive for drive in prop.drives}
    problems = []
    for name, value in cue.values.items():
        if name not in by_name:
            sentence = f"is not a drive of this prop; drives: {', '.join(by_name)}"
            problems.append(error("unknown-drive", f"{place}.values.{name}", sentence))
        elif not 0 <= value <= by_name[name].full_scale:
            sentence = f"= {value}: use 0 to {by_name[name].full_scale}"
            problems.append(error("out-of-range", f"{place}.values.{name}", sentence))
    return problems


def _look(prop: Prop, path: str, place: str) -> Snapshot:
    if path not in prop.files:
        looks = ", ".join(in_folder(prop.files, LOOKS).values()) or "none"
        raise PosekitError(
            [error("unknown-look", f"{place}.look", f"= '{path}': no such file; looks here: {looks}")]
        )
    return Snapshot.decode(prop.files[path], PurePosixPath(path).suffix, path)


def _typed(text: str, place: str) -> Snapshot:
    try:
        return Snapshot.parse(text)
    except PosekitError as refused:
        raise PosekitError(
            [error(f.code, f"{place}.text", f"{f.subject}: {f.message}") for f in refused.findings]
        ) from None
