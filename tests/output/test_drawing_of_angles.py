"""The drawing that says from which line and which way the angles of a linkage count is true to the formulas."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest

from posekit.linkage import FourBar, Hinge, SliderCrank

pytestmark = pytest.mark.native  # the drawing lies in the repository

ROOT = Path(__file__).parents[2]
DRAWING = ROOT / "web" / "src" / "dialogs" / "angles.svg"
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def drawing() -> ElementTree.Element:
    return ElementTree.fromstring(DRAWING.read_text(encoding="utf-8"))


def pin(drawing: ElementTree.Element, name: str) -> complex:
    (circle,) = (each for each in drawing.iter(f"{SVG}circle") if each.get("id") == name)
    return complex(float(circle.get("cx", "nan")), -float(circle.get("cy", "nan")))


def degrees(way: complex) -> float:
    return float(np.degrees(np.angle(way)))


def test_the_four_bar_is_drawn_where_the_formula_puts_it(drawing: ElementTree.Element) -> None:
    shaft, crank, rocker, joint = (
        pin(drawing, name) for name in ("shaft", "crank-pin", "rocker-pin", "joint")
    )
    assert (joint - shaft).imag == 0.0 and (joint - shaft).real > 0.0  # the ground along +x
    drawn = FourBar(
        crank=abs(crank - shaft),
        coupler=abs(rocker - crank),
        rocker=abs(rocker - joint),
        ground=abs(joint - shaft),
        branch="open",
        shaft_zero=degrees(crank - shaft),
        joint_zero=0.0,
    )
    assert drawn.position(np.zeros(1), Hinge()) == pytest.approx([degrees(rocker - joint)], abs=1e-6)


def test_the_slider_crank_is_drawn_where_the_formula_puts_it(drawing: ElementTree.Element) -> None:
    shaft, crank, slide = (pin(drawing, name) for name in ("slider-shaft", "slider-crank-pin", "slide-pin"))
    drawn = SliderCrank(
        crank=abs(crank - shaft),
        coupler=abs(slide - crank),
        offset=(slide - shaft).imag,
        branch="open",
        shaft_zero=degrees(crank - shaft),
        joint_zero=0.0,
    )
    assert drawn.position(np.zeros(1), Hinge()) == pytest.approx([(slide - shaft).real], abs=1e-9)


def test_who_does_not_see_the_drawing_gets_the_same_words(drawing: ElementTree.Element) -> None:
    (words,) = (each.text for each in drawing if each.tag == f"{SVG}desc")
    assert words
    assert f'"{words}"' in (ROOT / "web" / "src" / "dialogs" / "guide.tsx").read_text(encoding="utf-8")
    labels = {each.text for each in drawing.iter(f"{SVG}text")}
    assert {"crank", "rocker", "ground", "crossed", "shaft_zero + shaft", "offset", "+x"} <= labels
