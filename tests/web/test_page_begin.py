"""A new prop in the page: what files hold is shown before it is accepted, and a figure is built part by part."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import numpy as np
import pytest
import trimesh
from PIL import Image

import posekit
from posekit.authoring import add
from posekit.authoring.contents import at_zero
from posekit.authoring.starter import starter
from posekit.bridge.begin import Begin
from posekit.bridge.workbench import Workbench
from posekit.exchange.colour_files import on_disk
from posekit.exchange.parts import parts_of
from posekit.exchange.step import step_parts
from posekit.pipeline import rest
from tests.conftest import demo_prop
from tests.exchange.test_parts import MATERIALS, TWO
from tests.web.test_page_access import PHONE, serious
from tests.web.test_page_parts import row, text_becomes

pytestmark = [pytest.mark.page, pytest.mark.python("native")]

ROOT = Path(__file__).parents[2]
HERON = demo_prop("heron")
STEP = ROOT / "web/node_modules/occt-import-js/test/testfiles/cax-if/as1-oc-214.stp"


def stl(size: tuple[float, float, float], at: tuple[float, float, float]) -> bytes:
    box = trimesh.creation.box(size)
    box.apply_translation(at)
    return box.export(file_type="stl")


FIGURE = {
    "base.stl": stl((160, 120, 16), (0, 0, 0)),
    "mast.stl": stl((20, 20, 146), (0, 0, 81)),
    "arm.stl": stl((110, 16, 16), (55, 0, 170)),
    "bell.stl": stl((30, 30, 30), (110, 0, 145)),
}
ROBOT = b"""<robot name="r"><link name="a"><visual><geometry><mesh filename="package://r/meshes/a.stl"/></geometry>
</visual></link><link name="b"><visual><origin xyz="0 0 0.1"/><geometry><box size="0.05 0.05 0.2"/></geometry></visual>
</link><joint name="j" type="revolute"><parent link="a"/><child link="b"/><origin xyz="0 0 0.1"/>
<axis xyz="0 1 0"/><limit lower="-1" upper="1" effort="1" velocity="1"/></joint></robot>"""


def drop_all(bench, files: dict[str, bytes]) -> None:
    bench.page.evaluate(
        """files => {
            const carried = new DataTransfer();
            for (const [name, bytes] of files) carried.items.add(new File([new Uint8Array(bytes)], name));
            const how = {dataTransfer: carried, bubbles: true, cancelable: true};
            document.body.dispatchEvent(new DragEvent("drop", how));
        }""",
        [[name, list(content)] for name, content in files.items()],
    )


def dialog(bench):
    return bench.page.get_by_role("dialog", name="New prop")


def begun(files: dict[str, bytes], name: str, **more) -> posekit.Prop:
    return posekit.read(Begin(Workbench()).begin_with(files, name, **more).files)


def test_parts_are_shown_before_they_are_a_prop_and_undo_brings_the_old_one_back(bench, shot) -> None:
    drop_all(bench, FIGURE)
    box = dialog(bench)
    box.get_by_text("205 × 120 × 186 mm").first.wait_for()
    box.get_by_text("most CAD programs write mm").wait_for()
    assert serious(bench) == []
    shot(bench, "begin")
    bench.page.emulate_media(color_scheme="dark")
    assert serious(bench) == []
    shot(bench, "begin-dark")
    box.get_by_label("Its files are drawn in").select_option("inch")
    box.get_by_text("5207 × 3048 × 4724 mm").first.wait_for()
    box.get_by_label("Up in its files is").select_option("y")
    box.get_by_text("4724 × 5207 × 3048 mm").first.wait_for()
    # Left while it is looked at anew, for it was given another name: nothing has begun, and nothing says so.
    box.get_by_label("Name of the prop").fill("Left")
    box.evaluate(
        "box => ['Make this prop', 'Close'].forEach("
        "words => [...box.querySelectorAll('button')].find(each => each.textContent === words).click())"
    )
    box.wait_for(state="hidden")
    bench.quiet()
    assert bench.work()["text"] == HERON.text
    assert bench.page.get_by_text("begun. Undo brings back").count() == 0
    drop_all(bench, FIGURE)
    box.get_by_text("205 × 120 × 186 mm").first.wait_for()
    box.get_by_label("Name of the prop").fill("Bell ringer")
    box.get_by_label("The part that stands").select_option("mast")
    box.get_by_text("4 parts").wait_for()
    box.get_by_role("button", name="Make this prop").click()
    made = begun(FIGURE, "Bell ringer", root="mast")
    bench.page.get_by_text("Bell ringer begun.").wait_for()
    text_becomes(bench, made)
    bench.stands_at(at_zero(made))
    panel = bench.page.get_by_role("tabpanel", name="Parts")
    row(panel, "bell").click()
    bench.becomes("() => posekit.outlined()", "bell")
    shot(bench, "begun")
    bench.page.mouse.click(*bench.page.evaluate("() => posekit.spot('arm')"))
    bench.becomes("() => posekit.outlined()", "arm")
    bench.page.get_by_role("button", name="Undo").click()
    text_becomes(bench, HERON)
    bench.stands_as(rest(HERON))
    bench.page.get_by_role("button", name="Redo").click()
    text_becomes(bench, made)


def test_files_that_are_no_parts_are_named_where_the_parts_are_shown(bench) -> None:
    drop_all(bench, {**FIGURE, "bracket.3mf": b"PK", "readme.txt": b"Print the arm flat."})
    dialog(bench).get_by_text("Not parts, so left out: bracket.3mf, readme.txt.").wait_for()
    dialog(bench).get_by_text("4 parts").wait_for()
    dialog(bench).get_by_role("button", name="Close").click()
    drop_all(bench, FIGURE)
    dialog(bench).get_by_text("4 parts").wait_for()
    assert dialog(bench).get_by_text("Not parts").count() == 0


def test_colours_come_from_the_materials_beside_an_obj_and_from_the_picture_in_a_glb(bench) -> None:
    ball_mesh = trimesh.creation.icosphere(subdivisions=2, radius=0.02)
    picture = trimesh.visual.material.PBRMaterial(
        baseColorTexture=Image.effect_mandelbrot((300, 200), (-2, -1, 1, 1), 60).convert("RGB")
    )
    ball_mesh.visual = trimesh.visual.TextureVisuals(
        uv=ball_mesh.vertices[:, :2] / 0.04 + 0.5, material=picture
    )
    glb = ball_mesh.export(file_type="glb")
    drop_all(bench, {"robin.obj": TWO % b"body.mtl", **MATERIALS, "ball.glb": glb})
    box = dialog(bench)
    box.get_by_text("several colours (Kd of its materials)").wait_for()
    box.get_by_text("several colours (in its picture)").wait_for()
    box.get_by_role("button", name="Make this prop").click()
    bench.page.get_by_text("Robin begun.", exact=False).wait_for()
    bench.quiet()
    prop = posekit.read(
        {**begun({"robin.obj": TWO, "ball.glb": glb}, "x").files, "prop.toml": text_of(bench)}
    )
    shades = {link.name: link.shapes[0].colour for link in prop.links}
    assert shades.pop("robin") == "#9c00d5"
    (ball,) = shades.values()
    (native,) = parts_of({"ball.glb": glb}, "x", beside=on_disk()).parts
    # Two ways to make a picture smaller; both are means.
    apart = np.array([hex_shares(ball), hex_shares(native.skins[0].colour)])
    assert np.ptp(apart, axis=0).max() <= 4


def hex_shares(colour: str) -> list[int]:
    return [int(colour[at : at + 2], 16) for at in (1, 3, 5)]


def text_of(bench) -> bytes:
    return bench.work()["text"].encode()


def test_a_step_assembly_is_read_here_as_the_command_reads_it(bench, shot) -> None:
    def fetched() -> bool:
        names = bench.page.evaluate("() => performance.getEntriesByType('resource').map(each => each.name)")
        return any("occt" in name for name in names)

    assert not fetched()
    bench.drop(STEP.name, STEP.read_bytes())
    box = dialog(bench)
    box.get_by_role("button", name="Make this prop").wait_for()
    native = step_parts(STEP.read_bytes(), STEP.name, "x")
    box.get_by_text("drawn in mm, as the file says").wait_for()
    shot(bench, "begin-step")
    box.get_by_role("button", name="Make this prop").click()
    bench.page.get_by_role("tabpanel", name="Parts").get_by_role("treeitem").first.wait_for()
    bench.becomes("() => posekit.work().folder", "as1-oc-214")
    files = bench.page.evaluate(
        "() => Object.fromEntries(posekit.paths().map(path => [path, posekit.bytes(path)]))"
    )
    here = posekit.read({path: bytes(content) for path, content in files.items()})
    assert [link.name for link in here.links] == [part.name for part in native.parts]
    for link, part in zip(here.links, native.parts, strict=True):
        (shape,), (skin,) = link.shapes, part.skins
        assert shape.colour == skin.colour
        vertices = trimesh.load(io.BytesIO(here.files[shape.form.path]), file_type="ply").vertices
        # Two builds of the same kernel, each within 0.05 mm of the drawing.
        np.testing.assert_allclose(vertices.min(axis=0), skin.vertices.min(axis=0), atol=0.1)
        np.testing.assert_allclose(vertices.max(axis=0), skin.vertices.max(axis=0), atol=0.1)


def test_a_urdf_with_its_meshes_in_a_zip_moves_at_once(bench) -> None:
    files = {"r/urdf/r.urdf": ROBOT, "r/meshes/a.stl": stl((0.1, 0.1, 0.2), (0, 0, 0))}
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for path, content in files.items():
            archive.writestr(path, content)
    bench.drop("r.zip", out.getvalue())
    box = dialog(bench)
    box.get_by_text("2 parts, 1 moving joint, 1 drive").wait_for()
    box.get_by_role("button", name="Make this prop").click()
    made = begun(files, "r")
    text_becomes(bench, made)
    bench.stands_as(rest(made))


@pytest.mark.parametrize(
    ("files", "says"),
    [
        ({"a.stl": b"solid a\nendsolid a\n"}, "no triangle"),
        ({"a.step": b"ISO-10303-21;\nnothing"}, "STEP"),
        ({"a.urdf": b"<robot"}, "a.urdf"),
        ({"a.stl": FIGURE["base.stl"], "b.urdf": b"<robot/>"}, "no <link>"),
    ],
)
def test_bad_files_are_refused_in_the_dialog_and_change_nothing(bench, files, says) -> None:
    drop_all(bench, files)
    box = dialog(bench)
    box.get_by_role("alert").get_by_text(says).first.wait_for()
    box.get_by_role("button", name="Choose files").wait_for()
    bench.page.keyboard.press("Escape")
    box.wait_for(state="hidden")
    assert bench.work()["text"] == HERON.text


def test_a_figure_of_four_parts_from_nothing_by_keyboard_alone(bench) -> None:
    keys = bench.page.keyboard

    def tab_to(selector: str, back: bool = False) -> None:
        for _ in range(80):
            if bench.page.evaluate("selector => document.activeElement.matches(selector)", selector):
                return
            keys.press("Shift+Tab" if back else "Tab")
        raise AssertionError(f"{selector} is not reached by Tab")

    def words(text: str) -> str:
        """Mark the visible button of these words, to be reached by Tab."""
        bench.page.get_by_role("button", name=text, exact=True).first.evaluate(
            "(button, text) => button.setAttribute('data-wanted', text)", text
        )
        return f"[data-wanted='{text}']"

    tab_to(words("New"))
    keys.press("Enter")
    dialog(bench).get_by_role("button", name="Begin from nothing").wait_for()
    tab_to(words("Begin from nothing"))
    keys.press("Enter")
    dialog(bench).get_by_role("button", name="Make this prop").wait_for()
    tab_to(words("Make this prop"))
    keys.press("Enter")
    prop = starter("New prop")
    text_becomes(bench, prop)
    panel = bench.page.get_by_role("tabpanel", name="Parts")
    row(panel, "arm").wait_for()
    tab_to("[role=treeitem]")
    keys.press("a")  # for the arm
    bench.becomes("() => posekit.outlined()", "arm")
    for name, z in (("head", "140"), ("hat", "180")):
        tab_to(words("Add a part"))
        keys.press("Enter")
        panel.get_by_role("form", name="Add a part").get_by_label("size x").wait_for()
        keys.type(name)
        tab_to("form [data-path=at] [aria-label='at z']")
        keys.press("Control+a")
        keys.type(z)
        keys.press("Enter")
        parent = {"head": "arm", "hat": "head"}[name]
        shape = {"box": [40, 40, 40], "at": [0, 0, int(z)], "colour": "#9aa3ad"}
        before, prop = prop, add.add_link(prop, name, parent, {"shapes": [shape]})
        text_becomes(bench, prop)
        bench.becomes("() => posekit.outlined()", name)
    keys.press("Control+z")
    text_becomes(bench, before)
    keys.press("Control+Shift+z")
    text_becomes(bench, prop)
    bench.stands_at(at_zero(prop))


@pytest.mark.parametrize("setting", [PHONE], indirect=True)
def test_on_a_phone_a_prop_is_begun_and_its_parts_are_reached(bench, shot) -> None:
    bench.page.get_by_role("button", name="Open", exact=True).click()
    bench.page.get_by_role("button", name="New prop").click()
    dialog(bench).get_by_role("button", name="Begin from nothing").click()
    dialog(bench).get_by_role("button", name="Make this prop").wait_for()
    assert serious(bench) == []
    shot(bench, "begin-phone")
    assert bench.page.evaluate("() => document.documentElement.scrollWidth <= innerWidth")
    dialog(bench).get_by_role("button", name="Make this prop").click()
    text_becomes(bench, starter("New prop"))
    panel = bench.page.get_by_role("tabpanel", name="Parts")
    row(panel, "arm").click()
    panel.get_by_text("60 g, as given").wait_for()
    panel.get_by_role("button", name="Add a part").click()
    panel.get_by_role("form", name="Add a part").get_by_label("size x").wait_for()
    assert serious(bench) == []
    shot(bench, "parts-phone")
