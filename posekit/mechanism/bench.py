"""Poses for the bench: all drives at their middle value, at neutral, at one end, at rest; as snapshots.

Horns are fitted with the servos at 1500 µs, the neutral of hobby servos (common practice). A drive whose end points
do not reach that stands at the nearest pulse that it can be sent, and is told with where its joint then is.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

import numpy as np

from posekit.arrays import Array
from posekit.errors import Finding, warning
from posekit.mechanism.joints import linked, positions, unit_of
from posekit.prop.model import Drive, Prop
from posekit.signal.calibration import NEUTRAL_US, asked_pulse, pulses, servo_of
from posekit.signal.patch import snapshot_of
from posekit.signal.snapshot import Snapshot
from posekit.text import PULSE_FIGURES, exact, listed, plain


def bench_snapshot(prop: Prop, pose: str) -> Snapshot:
    """The snapshot of a pose for the bench, a name of `BENCH_POSES`.

    For `neutral` its notes are a warning for each drive whose end points do not reach that.
    """
    value = bench_values(prop, pose)
    notes = _reach_findings(prop, value) if pose == "neutral" else []
    return Snapshot(snapshot_of(prop, value).slots, tuple(notes))


def bench_values(prop: Prop, pose: str) -> Array:
    """The value of every drive (D,) in a pose for the bench, a name of `BENCH_POSES`."""
    value_of = BENCH_POSES[pose]
    return np.array([value_of(prop, drive) for drive in prop.drives], float)


def _reach_findings(prop: Prop, values: Array) -> list[Finding]:
    """A warning for each drive that is not sent neutral at values (D,) nearest to it, with where its joints stand."""
    pulse = pulses(prop, values[None])
    position = positions(prop, pulse)[0]
    moved = {d: joints for drives, joints in linked(prop) for d in drives}
    found = []
    for d, drive in enumerate(prop.drives):
        sent = _sent(prop, drive)
        if sent.min() <= NEUTRAL_US <= sent.max():
            continue
        stands = listed(
            f"'{prop.joints[j].name}' at {position[j]:.2f} {unit_of(prop.joints[j])}" for j in moved[d]
        )
        sentence = (
            f"its end points give {exact(sent.min())} to {exact(sent.max())} µs and do not reach "
            f"{exact(NEUTRAL_US)}: it stands at "
            f"{plain(pulse[0, d], PULSE_FIGURES)} µs (value {exact(values[d])}), with {stands}"
        )
        found.append(warning("neutral-unreached", drive.name, sentence))
    return found


def _nearest_neutral(prop: Prop, drive: Drive) -> int:
    """The value whose pulse is nearest to neutral; of several the one nearest to the middle."""
    off = np.abs(_sent(prop, drive) - NEUTRAL_US)
    nearest = np.flatnonzero(off == off.min())
    return int(nearest[np.argmin(np.abs(nearest - drive.middle))])


def _sent(prop: Prop, drive: Drive) -> Array:
    """The pulse [us] that a servo gets at each value (V,)."""
    return np.clip(asked_pulse(np.arange(drive.full_scale + 1), drive), *servo_of(prop, drive).pulse_range)


BENCH_POSES: Mapping[str, Callable[[Prop, Drive], int]] = MappingProxyType(
    {
        "middle": lambda _, drive: drive.middle,
        "neutral": _nearest_neutral,
        "low": lambda _, drive: 0,
        "high": lambda _, drive: drive.full_scale,
        "rest": lambda _, drive: drive.rest_value,
    }
)
