"""A prop that begins in the page: the same as the command makes, shown before it is opened."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
import trimesh
from click.testing import CliRunner

import posekit
from posekit.cli.main import main
from posekit.exchange.step import as_glb
from posekit.shape.mesh_file.glb import nodes_in
from tests.bridge.test_workbench import Page

ROBOT = b"""<robot name="r"><link name="a"><visual><geometry><mesh filename="package://r/meshes/a.stl"/></geometry>
</visual></link><link name="b"/><joint name="j" type="revolute"><parent link="a"/><child link="b"/>
<axis xyz="0 1 0"/><limit lower="-1" upper="1" effort="1" velocity="1"/></joint></robot>"""


def stl(size: tuple[float, float, float], z: float = 0.0, ending: str = "stl") -> bytes:
    box = trimesh.creation.box(size)
    box.apply_translation((0.0, 0.0, z))
    made = box.export(file_type=ending)
    return made.encode() if isinstance(made, str) else made


FIGURE = {
    "base.stl": stl((160, 120, 16)),
    "mast.stl": stl((20, 20, 146), 81.0),
    "arm.obj": stl((110, 16, 16), 170.0, "obj"),
}


def begun(files: dict[str, bytes], **more: Any) -> Any:
    names = {path: {"$block": number} for number, path in enumerate(files)}
    return Page().ask("begin_with", {"files": names, "name": "crane", **more}, [*files.values()])


def refused(files: dict[str, bytes], **more: Any) -> Any:
    names = {path: {"$block": number} for number, path in enumerate(files)}
    state, text, _ = Page().door.handle(
        "begin_with", json.dumps({"files": names, "name": "crane", **more}), [*files.values()]
    )
    assert state == "refused", text
    return json.loads(text)


def test_what_was_taken_is_told_with_sizes_before_anything_is_opened() -> None:
    view = begun(FIGURE)
    assert (view["unit"], view["units"], view["up"], view["stands"]) == (
        "mm",
        ["mm", "cm", "m", "inch"],
        None,
        "base",
    )
    # From the middle of the base, 8 below 0, to the top of the arm, 178 above.
    assert view["size"] == "160 × 120 × 186 mm"
    assert [(part["name"], part["size"], part["triangles"]) for part in view["parts"]] == [
        ("base", "160 × 120 × 16 mm", 12),
        ("mast", "20 × 20 × 146 mm", 12),
        ("arm", "110 × 16 × 16 mm", 12),
    ]
    assert [finding["code"] for finding in view["findings"]] == ["unit-taken", "held"]
    assert not any("--" in finding["text"] for finding in view["findings"])
    assert view["may_stand"] == ["base", "mast", "arm"]
    assert "hull" in view["lacks"][0]
    assert {node.path[-1] for node in nodes_in(view["picture"])} == {"arm/0", "base/0", "mast/0"}


def test_unit_up_and_what_stands_are_as_chosen() -> None:
    assert begun(FIGURE, unit="inch")["size"] == "4064 × 3048 × 4724 mm"
    assert begun(FIGURE, unit="m")["size"] == "160000 × 120000 × 186000 mm"
    view = begun(FIGURE, up="y", root="mast")
    assert (view["up"], view["stands"]) == ("y", "mast")
    # What was z is x now, x is y, and y is z.
    assert view["size"] == "186 × 160 × 120 mm"
    (unknown,) = refused(FIGURE, root="must")
    assert unknown["code"] == "unknown-name" and "--" not in unknown["text"]


def test_a_mesh_that_is_too_fine_is_refused_with_what_a_browser_can_do(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("posekit.authoring.mesh_kept.MESH_TRIANGLES", 11)
    (finding, *_) = told = refused(FIGURE)
    assert [each["code"] for each in told] == ["mesh-too-fine"] * 3
    assert "export it coarser" in finding["text"] and "--" not in finding["text"]


@pytest.mark.native
@pytest.mark.parametrize("urdf", [False, True])
def test_the_files_are_those_that_the_command_writes(tmp_path: Path, urdf: bool) -> None:
    files = {"r/r.urdf": ROBOT, "r/meshes/a.stl": stl((0.1, 0.1, 0.2))} if urdf else FIGURE
    for name, content in files.items():
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_bytes(content)
    given = ["r/r.urdf"] if urdf else files
    words = ["new", str(tmp_path / "crane"), *(str(tmp_path / name) for name in given)]
    done = CliRunner().invoke(main, [*words, "--within", "0", "--no-pieces"])
    assert done.exit_code == 0, done.output
    folder = tmp_path / "crane"
    written = {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*.*")}
    assert begun(files)["files"] == written


def test_a_urdf_finds_its_meshes_beside_it_and_says_unit_and_up_itself() -> None:
    view = begun({"r/urdf/r.urdf": ROBOT, "r/meshes/a.stl": stl((0.1, 0.1, 0.2))})
    assert (view["units"], view["ups"], view["drives"], view["moving"]) == ([], [], 1, 1)
    assert view["parts"][0]["size"] == "100 × 100 × 200 mm"
    assert view["may_stand"] == []
    (missing,) = refused({"r/urdf/r.urdf": ROBOT})
    assert missing["code"] == "missing-file"
    dae = ROBOT.replace(b"a.stl", b"a.dae")
    told = refused({"r/urdf/r.urdf": dae, "r/meshes/a.dae": b"<COLLADA/>"})
    assert all("pip" not in finding["message"] for finding in told)


@pytest.mark.parametrize(
    "files",
    [
        {},
        {"a.stl": b""},
        {"a.stl": b"solid a\nendsolid a\n", "b.stl": stl((1, 1, 1))},
        {"a.step": b"ISO-10303-21;", "b.stl": stl((1, 1, 1))},
        {"a.step": b"solid\n"},
        {"a.urdf": b"<robot"},
        {"a.urdf": b"<robot/>", "b.urdf": b"<robot/>"},
        {"a.glb": b"glTF\2\0\0\0"},
        {"a.gif": b"GIF89a"},
    ],
)
def test_what_cannot_be_a_prop_is_told_and_leaves_the_open_one(files: dict[str, bytes]) -> None:
    page = Page()
    before = page.ask("begin_empty", {"name": "first"})
    page.ask(
        "open",
        {"files": {path: {"$block": number} for number, path in enumerate(before["files"])}, "name": "first"},
        [*before["files"].values()],
    )
    names = {path: {"$block": number} for number, path in enumerate(files)}
    state, text, _ = page.door.handle(
        "begin_with", json.dumps({"files": names, "name": "x"}), [*files.values()]
    )
    assert state == "refused" and json.loads(text), text
    assert all(finding["code"] != "fault" for finding in json.loads(text)), text
    assert page.ask("files", {}) == before["files"]


def test_nothing_is_a_prop_that_moves() -> None:
    view = Page().ask("begin_empty", {"name": "hare", "servo": "micro"})
    assert (view["name"], [part["name"] for part in view["parts"]], view["drives"]) == (
        "hare",
        ["base", "arm"],
        1,
    )
    assert view["units"] == view["ups"] == view["may_stand"] == []
    assert posekit.read(view["files"]).servos[0].name == "micro"


@pytest.mark.native
def test_a_step_file_in_feet_is_shown_in_no_unit_and_lets_none_be_chosen() -> None:
    cube = (
        Path(__file__).parents[2] / "web/node_modules/occt-import-js/test/testfiles/cube-units/cube-in.step"
    )
    content = cube.read_bytes().replace(b"'INCH'", b"'FOOT'")
    files = {"cube.step": {"$block": 0}}
    asked = {"files": files, "name": "cube", "step": {"$block": 1}}
    view = Page().ask("begin_with", asked, [content, as_glb(content)])
    assert (view["unit"], view["units"], view["up"]) == (None, [], "z")
    assert not [each for each in view["findings"] if "another unit" in each["message"]]
