"""The picture sheet: which looks it shows, from which sides, how large, and what it tells of each."""

from __future__ import annotations

import re
import weakref
from dataclasses import replace
from xml.etree import ElementTree as Xml

import numpy as np
import pytest

import posekit
from posekit.output.drawing import Skin
from posekit.report import pictures
from posekit.report.pictures import PIXELS, SIDES, picture_sheet
from posekit.report.pictures_document import pictures_html
from tests.output.test_drawing import decoded

# A pale base of 200 mm; a red box to the front, a green one to the left, a blue one above.
PROP = """
format = 1
name = "<img src=x onerror=alert(1)></script>\\u202e"

[servos.mini]
pulse_range = [1000, 2000]
travel = 90.0

[links.base]
[[links.base.shapes]]
box = [200, 200, 200]
colour = "#cccccc"
[[links.base.shapes]]
box = [20, 20, 20]
at = [110, 0, 0]
colour = "#ff0000"
[[links.base.shapes]]
box = [20, 20, 20]
at = [0, 110, 0]
colour = "#00ff00"
[[links.base.shapes]]
box = [20, 20, 20]
at = [0, 0, 110]
colour = "#0000ff"

[links.arm]
[[links.arm.shapes]]
box = [10, 10, 10]
at = [0, 0, 150]

[joints.arm]
type = "revolute"
parent = "base"
child = "arm"
axis = [0, 1, 0]
stops = [-30, 30]

[drives.arm]
servo = "mini"
joint = "arm"
address = 1
pulse = {low = 1000, high = 2000}
"""
LOOKS = {
    f"looks/{name}.csv": f"universe,address,value\n1,1,{value}\n".encode()
    for name, value in (("far", 255), ("a", 128))
}
FIGURE = posekit.read({"prop.toml": PROP.encode(), **LOOKS})


def of_colour(pixels: np.ndarray, channel: int) -> np.ndarray:
    """Where (row, column) a picture is of one pure colour, whatever its light."""
    others = np.delete(pixels.astype(int), channel, axis=2).max(axis=2)
    return np.argwhere(pixels[:, :, channel].astype(int) > others + 60)


def test_each_side_is_seen_from_where_it_says_and_all_are_to_one_scale() -> None:
    made = picture_sheet(FIGURE)
    look = made.looks[0]
    front, left, above = (decoded(png) for png in look.pictures)
    assert [side for side, _ in SIDES] == ["the front", "the left", "above"]
    middle = PIXELS / 2
    # The left of the figure is at the right hand of who stands before it; its front is at the left hand of who stands
    # at its left, and below for who looks from above.
    for pixels, channel, way in (
        (front, 1, (0, 1)), (front, 2, (-1, 0)), (left, 0, (0, -1)), (left, 2, (-1, 0)), (above, 0, (1, 0)),
        (above, 1, (0, 1)),
    ):  # fmt: skip
        places = of_colour(pixels, channel)
        scale = PIXELS / made.side_mm
        assert len(places) > 0, way
        size = places.max(axis=0) - places.min(axis=0) + 1
        assert np.abs(size - 20 * scale).max() <= 2, "a box of 20 mm, by the same scale from every side"
        off = places.mean(axis=0) + 0.5 - middle
        along = int(np.flatnonzero(way)[0])
        assert off[along] * way[along] > 60 * scale
    for pixels in (front, left, above):
        assert decoded(look.pictures[0]).shape == pixels.shape == (PIXELS, PIXELS, 3)
    assert made.bar_mm == 50.0 or made.bar_mm == 100.0
    assert 0.1 < made.bar_mm / made.side_mm <= 0.3


def test_all_looks_are_shown_by_name_or_those_that_are_asked_for_or_the_rest() -> None:
    assert [look.name for look in picture_sheet(FIGURE).looks] == ["a", "far"]
    chosen = picture_sheet(FIGURE, [("so", posekit.Snapshot.parse("1/1@0"))])
    assert [look.name for look in chosen.looks] == ["so"]
    alone = replace(FIGURE, files={})
    assert [look.name for look in picture_sheet(alone).looks] == ["rest"]


def test_no_look_is_held_while_another_is_drawn(monkeypatch: pytest.MonkeyPatch) -> None:
    drawn: list[weakref.ref[np.ndarray]] = []
    held = []

    def counted(skin: Skin, side: int) -> np.ndarray:
        drawn.append(weakref.ref(skin.colours))
        held.append(len({id(each()) for each in drawn if each() is not None}))
        return np.zeros((1, 1, 3), np.uint8)

    monkeypatch.setattr(pictures, "drawing", counted)
    picture_sheet(FIGURE, [(str(n), posekit.Snapshot.parse(f"1/1@{n}")) for n in range(4)])
    assert held == [1] * 4 * len(SIDES)


def test_a_look_that_cannot_be_read_is_told_and_the_others_are_shown() -> None:
    broken = replace(FIGURE, files={**FIGURE.files, "looks/b.csv": b"\xff\xfe nothing"})
    made = picture_sheet(broken)
    assert [look.name for look in made.looks] == ["a", "far"]
    assert any("b.csv" in str(finding) for finding in made.findings)


def test_what_there_is_to_tell_of_a_pose_stands_at_its_look() -> None:
    made = picture_sheet(FIGURE)
    calm, far = made.looks
    assert [finding.code for finding in calm.findings] == []
    assert "past-stop" in [finding.code for finding in far.findings]
    words = "".join(Xml.fromstring(body(pictures_html(made, "2026-11-26"))).itertext())
    assert words.index("far") < words.index("hard stop") < words.index("Cautions")
    assert "Nothing was found in this pose; that is no proof of safety." in words


def test_names_of_others_stay_words_and_nothing_is_fetched() -> None:
    looks = [("<b>" + "x" * 10_000 + "\u202e", posekit.Snapshot({}))]
    html = pictures_html(picture_sheet(FIGURE, looks), "2026-11-26", "Letter")
    page = html.decode()
    assert "<b>" not in page and "<script" not in page and "\u202e" not in page
    assert "&lt;b&gt;xxx" in page and "&lt;img src=x" in page
    assert re.findall(r'(?:src|href)="(?!data:image/png;base64,)', page) == []
    assert "default-src 'none'; style-src 'sha256-" in page and "img-src data:" in page
    assert "size: 8.5in 11in" in page


def body(html: bytes) -> str:
    """The body of the document as XML, to be walked."""
    found = re.search(r"<body>.*</body>", html.decode(), re.DOTALL)
    assert found is not None
    return found[0]
