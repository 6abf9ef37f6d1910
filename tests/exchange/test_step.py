"""STEP assemblies as parts, read from files of the CAx Implementor Forum and others that npm occt-import-js carries."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from posekit.errors import PosekitError
from posekit.exchange.step import step_parts
from posekit.shape.bulk import mesh_bulk

pytestmark = pytest.mark.native

FILES = Path(__file__).parents[2] / "web/node_modules/occt-import-js/test/testfiles"
AS1 = "cax-if/as1-oc-214.stp"


def brought(name, unit=None):
    assert FILES.is_dir(), "the STEP files come with npm occt-import-js; `npm ci` in web/"
    return step_parts((FILES / name).read_bytes(), Path(name).name, "figure", unit)


@pytest.fixture(scope="module")
def bracket():
    """The AS1 assembly: a plate, two brackets with three nuts and bolts each, and a rod with two nuts."""
    return brought(AS1)


def skin_of(assembly, name):
    (skin,) = next(part for part in assembly.parts if part.name == name).skins
    return skin


def test_parts_of_nested_assemblies_are_flat_with_names_that_tell_and_used_ones_are_copied(bracket):
    names = [part.name for part in bracket.parts]
    assert len(names) == len(set(names)) == 18
    assert {"plate_1", "rod_1", "nut_1", "nut_2"} <= set(names)
    bolts = [name for name in names if name.endswith("bolt_1")]
    assert len(bolts) == 6
    assert all("l-bracket-assembly_" in name and "nut-bolt-assembly_" in name for name in bolts)
    places = {tuple(np.round(skin_of(bracket, name).vertices.mean(axis=0), 3)) for name in bolts}
    assert len(places) == 6


def test_the_assembly_stands_where_and_as_large_as_its_file_says(bracket):
    # The file states millimetres; its plate is drawn from (0, 0, 0) to (180, 150, 20) [CARTESIAN_POINTs of the file].
    assert (bracket.unit, bracket.joints) == ("mm", ())
    plate = skin_of(bracket, "plate_1").vertices
    np.testing.assert_allclose([plate.min(0), plate.max(0)], [[0, 0, 0], [180, 150, 20]], atol=1e-3)
    everything = np.concatenate([skin.vertices for part in bracket.parts for skin in part.skins])
    np.testing.assert_allclose(
        [everything.min(0), everything.max(0)], [[-10, 0, -4], [190, 150, 80]], atol=0.06
    )


def test_solids_are_closed_with_their_colours(bracket):
    for part in bracket.parts:
        bulk = mesh_bulk(part.skins[0].vertices, part.skins[0].faces)
        assert bulk.is_closed, part.name
        assert bulk.volume_mm3 > 100.0
    colours = {name.split("_")[-2]: skin_of(bracket, name).colour for name in (p.name for p in bracket.parts)}
    assert colours["nut"] == "#ff0000"
    assert colours["bolt"] == "#0000ff"
    assert [finding.code for finding in bracket.findings] == ["unit-stated"]


@pytest.mark.parametrize(("name", "unit"), [("mm", "mm"), ("in", "inch"), ("m", "m")])
def test_the_same_cube_in_three_units_is_the_same_cube(name, unit):
    made = brought(f"cube-units/cube-{name}.step")
    assert made.unit == unit
    np.testing.assert_allclose(np.ptp(made.parts[0].skins[0].vertices, axis=0), [1000.0] * 3, rtol=1e-6)
    assert f"drawn in {unit}" in made.findings[0].message


def test_a_unit_that_is_said_stands_in_for_the_stated_one():
    made = brought("cube-units/cube-mm.step", "inch")
    np.testing.assert_allclose(np.ptp(made.parts[0].skins[0].vertices, axis=0), [25400.0] * 3, rtol=1e-6)
    assert made.unit == "inch"


def test_a_drawing_in_feet_is_said_to_be_in_a_unit_of_its_own_and_no_other_stands_in_for_it():
    content = (FILES / "cube-units/cube-in.step").read_bytes().replace(b"'INCH'", b"'FOOT'")
    assert b"'FOOT'" in content
    made = step_parts(content, "cube.step", "figure")
    assert "drawn in a unit of its own" in made.findings[0].message
    assert "--unit" not in made.findings[0].message  # none would be taken
    assert made.unit is None
    with pytest.raises(PosekitError, match="leave out the unit"):
        step_parts(content, "cube.step", "figure", "m")


def test_a_drawing_without_a_unit_is_said_to_have_none_and_takes_the_one_that_is_said():
    stated = re.compile(rb"\(\s*LENGTH_UNIT[^;]*;")
    content, replaced = stated.subn(b"PLANE_ANGLE_UNIT();", (FILES / "cube-units/cube-mm.step").read_bytes())
    assert replaced
    made = step_parts(content, "cube.step", "figure")
    assert "taken to be in mm, as no unit is stated" in made.findings[0].message
    assert "as the file says" not in made.findings[0].message
    assert made.unit == "mm"
    for unit, side in (("mm", 1000.0), ("inch", 25400.0)):
        made = step_parts(content, "cube.step", "figure", unit)
        np.testing.assert_allclose(np.ptp(made.parts[0].skins[0].vertices, axis=0), [side] * 3, rtol=1e-6)


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "is no STEP file"),
        (b"solid x\nendsolid x\n", "is no STEP file"),
        (b"ISO-10303-21;\nHEADER;\nFILE_SCHEMA(('AUTOMOTIVE_DESIGN'));\nENDSEC;\nDATA;\n", "cut short"),
        (
            b"ISO-10303-21;\nHEADER;\nFILE_SCHEMA(('AUTOMOTIVE_DESIGN'));\nENDSEC;\nDATA;\nENDSEC;\nEND-ISO-10303-21;\n",
            "AP203",
        ),
    ],
)
def test_what_is_no_step_file_or_holds_no_part_is_told(content, says):
    with pytest.raises(PosekitError, match=says) as told:
        step_parts(content, "arm.stp", "figure")
    assert told.value.findings[0].file == "arm.stp"
