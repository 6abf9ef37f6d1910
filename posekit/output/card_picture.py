"""The picture of a joint on a card: what stands is pale, what moves dark, and a pointer shows how far it has gone."""

from __future__ import annotations

import math
from xml.etree import ElementTree as Xml

import numpy as np

from posekit.arrays import Array
from posekit.output.silhouette import Loops
from posekit.text import exact

SIZE = 160.0
STANDS = {"fill": "#e6e6e6", "stroke": "#999999", "stroke-width": "0.6"}
MOVES = {"fill": "#9a9a9a", "stroke": "#111111", "stroke-width": "0.9"}
INK, HALO = "#000000", "#ffffff"


def card_picture(
    said: str, stands: Loops, moves: Loops, pivot: Array, first: Array, tip: Array, turn_deg: float | None
) -> Xml.Element:
    """A joint in one position, as an element `svg`; places are in a square of side 1 with y upwards.

    `said` is for those who cannot see it. The dashed line goes to `first`, where the tip is at the middle value, the
    full one to `tip`; between the two `turn_deg`, counter-clockwise, or None for a slide.
    """
    svg = Xml.Element(
        "svg", {"viewBox": f"0 0 {exact(SIZE)} {exact(SIZE)}", "role": "img", "aria-label": said}
    )
    for loops, look in ((stands, STANDS), (moves, MOVES)):
        if loops:
            Xml.SubElement(svg, "path", {"d": " ".join(map(_closed, loops)), "fill-rule": "evenodd", **look})
    start, before, now = (np.array([p[0], 1.0 - p[1]]) * SIZE for p in (pivot, first, tip))
    start = before if turn_deg is None else start
    if turn_deg is not None:
        _line(svg, start, before, dashed=True)
    if turn_deg is None or math.hypot(*(now - before)) > 1.0:
        _line(svg, start, now, dashed=False)
    if turn_deg is not None and abs(turn_deg) >= 1.0:
        _arc(svg, start, before, now, turn_deg)
    for radius, colour in ((3.4, HALO), (2.4, INK)):
        Xml.SubElement(
            svg, "circle", {"cx": f"{start[0]:.1f}", "cy": f"{start[1]:.1f}", "r": exact(radius), "fill": colour}
        )  # fmt: skip
    return svg


def _closed(loop: Array) -> str:
    points = " ".join(f"{x * SIZE:.1f},{(1.0 - y) * SIZE:.1f}" for x, y in loop.tolist())
    return f"M{points}Z"


def _stroke(svg: Xml.Element, path: str, *, dashed: bool = False) -> None:
    """A line with a pale rim, so that it shows on what is dark and on what is pale."""
    for colour, width in ((HALO, 3.2), (INK, 1.4)):
        look = {"d": path, "fill": "none", "stroke": colour, "stroke-width": exact(width)}
        if dashed and colour == INK:
            look["stroke-dasharray"] = "4 3"
        Xml.SubElement(svg, "path", look)


def _line(svg: Xml.Element, start: Array, end: Array, *, dashed: bool) -> None:
    _stroke(svg, f"M{start[0]:.1f} {start[1]:.1f}L{end[0]:.1f} {end[1]:.1f}", dashed=dashed)


def _arc(svg: Xml.Element, pivot: Array, before: Array, now: Array, turn_deg: float) -> None:
    """The turn from the dashed line to the full one, with a head that says which way."""
    radius = 0.62 * math.hypot(*(before - pivot))
    begin = math.atan2(before[1] - pivot[1], before[0] - pivot[0])
    # Pictures count downwards, so what turns counter-clockwise goes to smaller angles there.
    end = begin - math.radians(turn_deg)
    steps = np.linspace(begin, end, 33)
    x, y = pivot[0] + radius * np.cos(steps), pivot[1] + radius * np.sin(steps)
    _stroke(svg, "M" + " ".join(f"{a:.1f},{b:.1f}" for a, b in zip(x.tolist(), y.tolist(), strict=True)))
    along = end - math.copysign(math.pi / 2, turn_deg)
    tip = np.array([x[-1], y[-1]])
    back = [tip - 6.0 * np.array([math.cos(along + off), math.sin(along + off)]) for off in (0.45, -0.45)]
    head = " ".join(f"{p[0]:.1f},{p[1]:.1f}" for p in (tip, *back))
    Xml.SubElement(svg, "path", {"d": f"M{head}Z", "fill": INK, "stroke": HALO, "stroke-width": "0.6"})
