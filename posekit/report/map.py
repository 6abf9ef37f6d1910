"""A slice through the envelope as a picture: where two links strike or come near, over two channels."""

from __future__ import annotations

import numpy as np

from posekit.clearance.slices import Slice, slice_through
from posekit.clearance.verdict import Envelope
from posekit.output.value_map import Channel, Mark, Patch, value_map
from posekit.prop.model import Prop
from posekit.signal.calibration import pulses
from posekit.text import exact

TICKS = 5
# What the values of a witness are, in words and in few.
MARKED = {
    "strikes": ("values at which they touch", "they touch"),
    "near": ("the closest that was found", "closest found"),
}


def first_map(prop: Prop, found: Envelope) -> tuple[tuple[str, str] | None, str]:
    """The first pair that strikes or else comes near, and its map as SVG through the values of its witness.

    None and no text if there is no such pair that a channel moves.
    """
    for verdict in (*found.of("strikes"), *found.of("near")):
        if verdict.drives and verdict.witness is not None:
            cut = slice_through(prop, verdict.pair, verdict.witness, found.margin_mm)
            return verdict.pair, map_of(prop, cut, *MARKED[verdict.verdict])
    return None, ""


def map_of(prop: Prop, cut: Slice, said: str = "the values now", briefly: str = "now") -> str:
    """A slice as SVG; what the values are through which it is cut is `said` below it, and `briefly` at their mark."""
    x, y = Pulses(prop, cut.x), None if cut.y is None else Pulses(prop, cut.y)

    def hover(along: tuple[int, int], up: tuple[int, int], state: str) -> str:
        where = [x.span(along)] if y is None else [x.span(along), y.span(up)]
        return f"{', '.join(where)}: {state}"

    patches = [
        Patch(region.x, region.y, region.state, hover(region.x, region.y, region.state))
        for region in cut.regions
    ]
    at = cut.values[cut.x], 0 if cut.y is None else cut.values[cut.y]
    others = [f"{name} {value}" for name, value in cut.values.items() if name not in (cut.x, cut.y)]
    mark = Mark(*at, said, f"{hover((at[0],) * 2, (at[1],) * 2, briefly)}; {', '.join(others)}")
    title = f"{prop.name}: {cut.pair[0]} and {cut.pair[1]}, margin {exact(cut.margin_mm)} mm"
    return value_map(title, x.channel(), y.channel() if y else None, patches, mark)


class Pulses:
    """The pulses of one drive's values, as texts."""

    def __init__(self, prop: Prop, name: str) -> None:
        self.name = name
        d = next(d for d, drive in enumerate(prop.drives) if drive.name == name)
        full = prop.drives[d].full_scale
        values = np.repeat([[drive.rest_value for drive in prop.drives]], full + 1, axis=0)
        values[:, d] = np.arange(full + 1)
        self.pulse_us = pulses(prop, values)[:, d]

    def span(self, ends: tuple[int, int]) -> str:
        """Values and pulses from end to end: `jaw 12 to 15 (1520 to 1531 µs)`."""
        first, last = (self.pulse_us[end] for end in ends)
        if ends[0] == ends[1]:
            return f"{self.name} {ends[0]} ({first:.0f} µs)"
        return f"{self.name} {ends[0]} to {ends[1]} ({first:.0f} to {last:.0f} µs)"

    def channel(self) -> Channel:
        """The drive as an axis."""
        full = len(self.pulse_us) - 1
        ticks = [round(full * step / (TICKS - 1)) for step in range(TICKS)]
        return Channel(
            self.name, full, [(value, f"{value} ({self.pulse_us[value]:.0f} µs)") for value in ticks]
        )
