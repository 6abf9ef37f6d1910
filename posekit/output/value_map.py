"""A map over one or two channels as SVG: patches of values that are clear, near, strike or are open."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal
from xml.etree import ElementTree as Xml

from posekit.text import exact, printable

State = Literal["clear", "near", "strikes", "open"]

SIZE, LEFT, RIGHT, TOP, BOTTOM, STRIP = 560.0, 96.0, 56.0, 54.0, 128.0, 90.0
INK, PAPER, FAINT = "#1d2730", "#ffffff", "#5b6770"
GROUND = {"clear": "#e4f0e8", "near": "#dfe6f4", "strikes": "#f2c9bd", "open": "#f6ecc4"}
HATCH: dict[State, tuple[str, ...]] = {
    "clear": (),
    "near": ("M0 8L8 0",),
    "strikes": ("M0 8L8 0", "M0 0L8 8"),
    "open": ("M4 4h.01",),
}
LEGEND: dict[State, str] = {
    "clear": "clear by the margin: proved",
    "near": "apart, but closer than the margin",
    "strikes": "strikes: proved",
    "open": "not decided: the boundary runs here",
}


@dataclass(frozen=True, slots=True)
class Channel:
    """One axis: the drive's name, its full scale, and texts to stand at some values."""

    name: str
    full_scale: int
    ticks: Sequence[tuple[int, str]]


@dataclass(frozen=True, slots=True)
class Patch:
    """A rectangle of values, both ends included, with its state and the text shown when pointed at."""

    x: tuple[int, int]
    y: tuple[int, int]
    state: State
    hover: str


@dataclass(frozen=True, slots=True)
class Mark:
    """Values to be found on the map: what they are, in words, and the text shown when pointed at."""

    x: int
    y: int
    said: str
    hover: str


def value_map(title: str, x: Channel, y: Channel | None, patches: Sequence[Patch], mark: Mark) -> str:
    """The map as SVG text. States differ by hatch as well as by colour; y None draws a strip."""
    height = SIZE if y is not None else STRIP
    svg = Xml.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": f"0 0 {exact(LEFT + SIZE + RIGHT)} {exact(TOP + height + BOTTOM)}",
            "role": "img",
            "aria-label": printable(title),
            "font-family": "sans-serif",
            "font-size": "12",
            "shape-rendering": "crispEdges",  # or hairlines show between patches
            "fill": INK,
        },
    )
    _hatches(svg)
    _text(svg, LEFT, 26, title, size=15)
    across = Scale(x.full_scale, LEFT, SIZE)
    up = Scale(0 if y is None else y.full_scale, TOP + height, -height)
    for patch in patches:
        _patch(svg, across, up, patch)
    _axes(svg, across, up, x, y, height)
    _mark(svg, across, up, mark, height)
    _legend(svg, TOP + height + 62, mark.said)
    Xml.indent(svg)
    return Xml.tostring(svg, encoding="unicode") + "\n"


@dataclass(frozen=True, slots=True)
class Scale:
    """Values of a channel to places on the page: value v takes up the room from `edge(v)` to `edge(v + 1)`."""

    full_scale: int
    start: float
    length: float

    def edge(self, value: float) -> float:
        """Where a value begins."""
        return self.start + self.length * value / (self.full_scale + 1)


def _hatches(svg: Xml.Element) -> None:
    definitions = Xml.SubElement(svg, "defs")
    for state, lines in HATCH.items():
        pattern = Xml.SubElement(
            definitions, "pattern", id=state, width="8", height="8", patternUnits="userSpaceOnUse"
        )
        Xml.SubElement(pattern, "rect", width="8", height="8", fill=GROUND[state])
        for line in lines:
            width = "2.4" if state == "open" else "1"
            Xml.SubElement(
                pattern, "path", {"d": line, "stroke": INK, "stroke-width": width, "stroke-linecap": "round"}
            )


def _patch(svg: Xml.Element, across: Scale, up: Scale, patch: Patch) -> None:
    left, right = across.edge(patch.x[0]), across.edge(patch.x[1] + 1)
    bottom, top = up.edge(patch.y[0]), up.edge(patch.y[1] + 1)
    place = {"x": left, "y": top, "width": right - left, "height": bottom - top}
    rect = Xml.SubElement(
        svg, "rect", {name: f"{at:.2f}" for name, at in place.items()} | {"fill": f"url(#{patch.state})"}
    )
    Xml.SubElement(rect, "title").text = printable(patch.hover)


def _axes(svg: Xml.Element, across: Scale, up: Scale, x: Channel, y: Channel | None, height: float) -> None:
    frame = {"x": LEFT, "y": TOP, "width": SIZE, "height": height}
    Xml.SubElement(
        svg, "rect", {name: exact(at) for name, at in frame.items()} | {"fill": "none", "stroke": INK}
    )
    for value, text in x.ticks:
        _text(svg, across.edge(value + 0.5), TOP + height + 18, text, anchor="middle", colour=FAINT)
    _text(svg, LEFT + SIZE / 2, TOP + height + 40, f"{x.name}: value (pulse)", anchor="middle")
    if y is not None:
        for value, text in y.ticks:
            _text(svg, LEFT - 6, up.edge(value + 0.5) + 4, text, anchor="end", colour=FAINT)
        _text(svg, LEFT, TOP - 8, f"{y.name}: value (pulse)")


def _mark(svg: Xml.Element, across: Scale, up: Scale, mark: Mark, height: float) -> None:
    x, y = across.edge(mark.x + 0.5), up.edge(mark.y + 0.5)
    look = {"fill": "none", "stroke": INK, "stroke-width": "2", "shape-rendering": "geometricPrecision"}
    group = Xml.SubElement(svg, "g", look)
    Xml.SubElement(group, "title").text = printable(mark.hover)
    lines = f"M{x:.2f} {exact(TOP)}V{exact(TOP + height)}M{exact(LEFT)} {y:.2f}H{exact(LEFT + SIZE)}"
    Xml.SubElement(group, "path", {"d": lines, "stroke-dasharray": "2 5", "stroke-width": "1"})
    Xml.SubElement(group, "circle", {"cx": f"{x:.2f}", "cy": f"{y:.2f}", "r": "7", "fill": PAPER})
    Xml.SubElement(group, "path", {"d": f"M{x - 4:.2f} {y:.2f}h8m-4 -4v8"})


def _legend(svg: Xml.Element, y: float, marked: str) -> None:
    for row, (state, text) in enumerate(LEGEND.items()):
        x = LEFT + 200 * (row % 2)
        y_row = y + 22 * (row // 2)
        Xml.SubElement(
            svg, "rect",
            {"x": exact(x), "y": exact(y_row), "width": "22", "height": "16", "fill": f"url(#{state})", "stroke": INK},
        )  # fmt: skip
        _text(svg, x + 28, y_row + 12, text, size=11)
    _text(svg, LEFT, y + 58, f"⊕ {marked}; point at a patch to read values and pulses", size=11)


def _text(
    svg: Xml.Element,
    x: float,
    y: float,
    text: str,
    *,
    size: float = 12,
    anchor: str = "start",
    colour: str = INK,
) -> None:
    place = {
        "x": f"{x:.2f}",
        "y": f"{y:.2f}",
        "font-size": exact(size),
        "text-anchor": anchor,
        "fill": colour,
    }
    Xml.SubElement(svg, "text", place).text = printable(text)
