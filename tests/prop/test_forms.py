"""A form is added by one line in a table: everything else asks the form itself."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import jsonschema
import numpy as np
import pytest

import posekit
from posekit.fields import LEAST_MM, Vector, key
from posekit.mechanism.mass import masses
from posekit.motion.extent import extents
from posekit.output import gltf, stl
from posekit.pipeline import rest
from posekit.prop.schema import schema
from posekit.shape import FORMS, Box, Bulk, Core, Extent, Source, Triangles


@dataclass(frozen=True, slots=True, kw_only=True)
class Pebble:
    """A box with round edges."""

    bare: ClassVar[str | None] = "size"

    size: Vector = key("edge lengths before it is rounded", unit="mm", least=LEAST_MM)
    rounding: float = key("what is added all round", unit="mm", default=1.0, least=LEAST_MM)

    def names(self) -> tuple[tuple[str, str], ...]:
        return ()

    def bulk(self, source: Source) -> Bulk:
        return Box(size=self.size).bulk(source)

    def cores(self, source: Source) -> list[Core]:
        (core,) = Box(size=self.size).cores(source)
        return [Core(core.centre, half=core.half, radius=self.rounding)]

    def extent(self, source: Source) -> Extent:
        corners = Box(size=self.size).extent(source).points
        return Extent(corners, np.full(len(corners), self.rounding))

    def triangles(self, source: Source) -> Triangles:
        return Box(size=self.size).triangles(source)


TEXT = """
format = 1
name = "Shore"
[links.bank]
[[links.bank.shapes]]
box = [10, 10, 10]
[links.stone]
[[links.stone.shapes]]
pebble = [4, 6, 8]
rounding = 0.5
at = [0, 0, 20]
[joints.bed]
type = "fixed"
parent = "bank"
child = "stone"
[links.toe]
[[links.toe.shapes]]
sphere = {radius = 1}
[joints.ankle]
type = "prismatic"
parent = "stone"
child = "toe"
at = [0, 0, 40]
"""


def test_a_form_is_added_by_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(posekit.PosekitError, match="exactly one of box, sphere, cylinder, capsule, mesh"):
        posekit.read({"prop.toml": TEXT.encode()})

    monkeypatch.setitem(FORMS, "pebble", Pebble)

    prop = posekit.read({"prop.toml": TEXT.encode()})
    assert prop.links[1].shapes[0].form == Pebble(size=(4.0, 6.0, 8.0), rounding=0.5)
    jsonschema.validate(posekit.prop.reader.tables(TEXT, "prop.toml"), schema())
    with pytest.raises(posekit.PosekitError, match=r"shapes\[0\]\.rounding = 0: use 0.001 or more"):
        posekit.read({"prop.toml": TEXT.replace("= 0.5", "= 0").encode()})
    assert masses(prop)[1].mass_g == pytest.approx(4 * 6 * 8 / 1000)
    assert extents(prop)[1].points[:, 2].max() == 24.0
    pairs = posekit.clearance.pairs(prop)
    # 40 mm to the toe's middle, of which the toe takes 1 mm and the stone 20 + 8 / 2 + 0.5 mm.
    apart = posekit.clearance.distances(prop, [[0.0]])[0, pairs.index(("bank", "toe"))]
    assert apart == pytest.approx(40 - 1 - 5, abs=1e-9)
    state = rest(prop)
    assert len(stl.encode(prop, state)) > 12 * 50
    assert b"Shore" in gltf.encode(prop, state)


def test_every_form_has_the_keys_that_its_text_says() -> None:
    assert {name: cls.bare for name, cls in FORMS.items()} == {
        "box": "size",
        "sphere": None,
        "cylinder": None,
        "capsule": None,
        "mesh": "path",
    }
