"""Collada meshes: their unit, their places, their colours, and what is wrong with them."""

from __future__ import annotations

import numpy as np
import pytest

from posekit.errors import PosekitError
from posekit.exchange.collada import collada_surfaces

pytestmark = pytest.mark.native

SCENE = """<?xml version="1.0"?>
<COLLADA xmlns="http://www.collada.org/2005/11/COLLADASchema" version="1.4.1">
<asset>{unit}<up_axis>Y_UP</up_axis></asset>
<library_effects><effect id="e"><profile_COMMON><technique sid="t"><lambert>
<diffuse><color>0.2 0.4 1 1</color></diffuse></lambert></technique></profile_COMMON></effect></library_effects>
<library_materials><material id="m"><instance_effect url="#e"/></material></library_materials>
<library_geometries><geometry id="g"><mesh>
<source id="p"><float_array id="f" count="12">0 0 0 1 0 0 1 1 0 0 1 0</float_array>
<technique_common><accessor source="#f" count="4" stride="3"><param name="X" type="float"/>
<param name="Y" type="float"/><param name="Z" type="float"/></accessor></technique_common></source>
<vertices id="v"><input semantic="POSITION" source="#p"/></vertices>
<polylist material="s" count="1"><input semantic="VERTEX" source="#v" offset="0"/>
<vcount>4</vcount><p>0 1 2 3</p></polylist></mesh></geometry></library_geometries>
<library_nodes>{library}</library_nodes>
<library_visual_scenes><visual_scene id="w">{nodes}</visual_scene></library_visual_scenes>
<scene><instance_visual_scene url="#w"/></scene></COLLADA>"""

PLATE = """<node id="{id}"><translate>{at}</translate><instance_geometry url="#g"><bind_material><technique_common>
<instance_material symbol="s" target="#m"/></technique_common></bind_material></instance_geometry></node>"""


def scene(unit: str = "", nodes: str = PLATE.format(id="n", at="0 0 2"), library: str = "") -> bytes:
    return SCENE.format(unit=unit, nodes=nodes, library=library).encode()


def refused(content: bytes) -> str:
    with pytest.raises(PosekitError) as told:
        collada_surfaces(content, "plate.dae")
    return str(told.value)


@pytest.mark.parametrize(("unit", "metre"), [("", 1.0), ('<unit name="inch" meter="0.0254"/>', 0.0254)])
def test_coordinates_stand_as_they_are_in_the_unit_of_the_file_with_the_colour_of_its_material(
    unit: str, metre: float
) -> None:
    (found,) = collada_surfaces(scene(unit), "plate.dae")
    vertices, faces, colour = found.vertices, found.faces, found.colour.hex
    assert colour == "#3366ff"
    assert vertices.max(axis=0) == pytest.approx([metre, metre, 2 * metre])
    doubled = np.cross(*np.diff(vertices[faces], axis=1).swapaxes(0, 1))
    assert doubled.sum(axis=0) / 2 == pytest.approx([0, 0, metre * metre])  # a square that faces +z


@pytest.mark.parametrize("wrong", ["1_0", "inf", "\u0661", "", "0x10"])
@pytest.mark.parametrize("place", ['<unit name="x" meter="{}"/>', "coordinate"])
def test_what_only_python_takes_for_a_number_is_refused(place: str, wrong: str) -> None:
    content = scene() if place == "coordinate" else scene(place.format(wrong))
    if place == "coordinate":
        content = content.replace(b"0 0 0 1 0 0 1", f"0 0 0 1 0 {wrong or 'x'} 1".encode())
    assert "export it again" in refused(content)


def test_one_colour_is_one_surface_and_a_node_may_be_shown_twice() -> None:
    library = PLATE.format(id="n", at="0 0 2")
    nodes = '<node id="a"><instance_node url="#n"/></node>'
    nodes += '<node id="b"><translate>5 0 0</translate><instance_node url="#n"/></node>'
    (found,) = collada_surfaces(scene(nodes=nodes, library=library), "plate.dae")
    assert len(found.faces) == 4
    assert found.vertices.max(axis=0) == pytest.approx([6, 1, 2])


def test_a_material_that_names_a_picture_which_is_not_there_costs_the_colour_and_not_the_mesh() -> None:
    picture = b'<texture texture="photo-sampler" texcoord="UV"/>'
    sampler = b'<newparam sid="photo-sampler"><sampler2D><source>photo</source></sampler2D></newparam>'
    content = scene().replace(b"<color>0.2 0.4 1 1</color>", picture)
    content = content.replace(b"<profile_COMMON>", b"<profile_COMMON>" + sampler)
    (found,) = collada_surfaces(content, "plate.dae")
    assert (len(found.faces), found.colour.hex) == (2, None)


def test_nodes_that_show_each_other_without_end_are_refused() -> None:
    """Thirty nodes, each of which shows the next twice: a thousand million in all."""
    library = PLATE.format(id="n30", at="0 0 0")
    for i in reversed(range(30)):
        library += f'<node id="n{i}">' + f'<instance_node url="#n{i + 1}"/>' * 2 + "</node>"
    said = refused(scene(nodes='<node id="a"><instance_node url="#n0"/></node>', library=library))
    assert "more than 2000 nodes" in said


# In UTF-16 these two letters are the four bytes that end a zip file.
ZIP_INSIDE = (scene().decode() + "<!-- \u4b50\u0605 -->").encode("utf-16")


@pytest.mark.parametrize(
    ("content", "why"),
    [
        (b"<COLLADA", "is not XML"),
        (b"<a/>", "holds no triangle with an area"),
        (scene().replace(b"0 1 2 3", b"0 1 2 9"), "cannot be read as Collada"),
        (scene(nodes=""), "holds no triangle with an area"),
        (scene()[:38].replace(b"?>", b"?><!DOCTYPE x>") + scene()[21:], "DOCTYPE"),
        (ZIP_INSIDE, "it holds a zip file"),
    ],
)
def test_what_is_no_collada_is_refused(content: bytes, why: str) -> None:
    assert why in refused(content)


def test_what_trimesh_writes_comes_back() -> None:
    import trimesh

    mesh = trimesh.creation.icosphere(2, 0.5)
    content = mesh.export(file_type="dae")
    (found,) = collada_surfaces(content, "ball.dae")
    read = trimesh.Trimesh(found.vertices, found.faces)
    assert read.volume == pytest.approx(mesh.volume, rel=1e-6)


def test_without_the_library_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("posekit.exchange.collada.find_spec", lambda name: None)
    assert "needs `pip install 'posekit[urdf]'`; or export it as STL" in refused(scene())
