"""The demo props: that they load, pose and can be built, and that their meshes come from the script."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from importlib import import_module
from io import BytesIO
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
import trimesh

import posekit
from posekit.clearance.cover import coverage_findings
from posekit.clearance.distance import distances
from posekit.pipeline import rest
from posekit.prop.model import Drive, Prop
from posekit.shape import Mesh
from tests.conftest import demo_prop

MODELS = Path(__file__).parents[1] / "models"
NAMES = ("heron", "bellows", "longwood")
MESH_BYTES = 150_000


@pytest.fixture(scope="module", params=NAMES)
def name(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture(scope="module")
def prop(name: str) -> Prop:
    return demo_prop(name)


@pytest.fixture(scope="module")
def figure(name: str) -> Iterator[ModuleType]:
    """The script that makes the meshes of the prop."""
    sys.path.insert(0, str(MODELS))
    try:
        yield import_module(f"sculpt.{name}.parts")
    finally:
        sys.path.remove(str(MODELS))


def sixteen_bit(prop: Prop) -> list[Drive]:
    return [drive for drive in prop.drives if drive.bits == 16]


@pytest.fixture(scope="module")
def told(prop: Prop) -> list[posekit.Finding]:
    """What the check tells of it."""
    return list(posekit.check(prop))


def test_a_demo_prop_has_nothing_worse_to_tell_than_its_supply(told: list[posekit.Finding]) -> None:
    assert {finding.subject for finding in told if finding.level != "note"} <= {"supply.current"}


@pytest.mark.parametrize(
    ("name", "drives", "wide", "universes"),
    [("heron", 8, 2, {1}), ("bellows", 5, 1, {1}), ("longwood", 24, 4, {1, 2})],
)
def test_the_servos_are_as_many_as_the_readme_says(
    name: str, drives: int, wide: int, universes: set[int]
) -> None:
    prop = demo_prop(name)
    words = {5: "Five", 8: "Eight", 24: "Twenty-four", 1: "one", 2: "two", 4: "four"}
    readme = " ".join((MODELS / name / "README.md").read_text(encoding="utf-8").split())
    assert len(prop.drives) == drives and f"{words[drives]} servos" in readme
    assert len(sixteen_bit(prop)) == wide and f"{words[wide]} of them 16 bit" in readme
    assert {drive.universe for drive in prop.drives} == universes


def test_the_readme_names_every_drive_and_every_look(name: str, prop: Prop) -> None:
    readme = (MODELS / name / "README.md").read_text(encoding="utf-8")
    looks = [path.stem for path in (MODELS / name / "looks").glob("*.csv")]
    assert [drive.name for drive in prop.drives if drive.name not in readme] == []
    assert [look for look in looks if f"`{look}`" not in readme] == []


def test_the_looks_pose_without_a_word_and_without_a_strike(name: str, prop: Prop) -> None:
    looks = sorted((MODELS / name / "looks").glob("*.csv"))
    states = [posekit.pose(prop, posekit.Snapshot.read(look)) for look in looks]
    assert [
        (look.stem, state.findings) for look, state in zip(looks, states, strict=True) if state.findings
    ] == []
    least = distances(prop, [list(state.joints.values()) for state in states]).min(axis=1)
    assert [look.stem for look, mm in zip(looks, least, strict=True) if not mm >= prop.clearance.margin] == []


def test_a_figure_at_rest_keeps_its_margin(prop: Prop) -> None:
    state = rest(prop)
    assert distances(prop, [list(state.joints.values())]).min() >= prop.clearance.margin


def test_joint_0_is_at_shaft_0(prop: Prop) -> None:
    middle = np.full((1, len(prop.drives)), 1500.0)
    driven = [k for k, joint in enumerate(prop.joints) if joint.follow is None]
    # The files give joint_zero to a thousandth of a degree or millimetre.
    assert np.abs(posekit.positions(prop, middle)[0, driven]).max() < 1e-3


def test_every_linkage_closes_from_end_point_to_end_point(prop: Prop, told: list[posekit.Finding]) -> None:
    full = np.array([drive.full_scale for drive in prop.drives])
    values = np.rint(np.linspace(0, 1, 65)[:, None] * full)
    assert np.isfinite(posekit.positions(prop, posekit.pulses(prop, values))).all()
    assert not [finding for finding in told if finding.code == "linkage-open"]


def test_the_parts_that_move_have_shapes(prop: Prop) -> None:
    assert [link.name for link in prop.links if not link.shapes] == []


def test_the_script_makes_the_very_meshes_that_lie_beside_the_prop(name: str, figure: ModuleType) -> None:
    from sculpt.skin import on_grid

    skins = figure.skins()
    assert {path.stem for path in (MODELS / name / "meshes").glob("*.ply")} == set(skins)
    for part, skin in skins.items():
        stored = trimesh.load(MODELS / name / "meshes" / f"{part}.ply", process=False)
        np.testing.assert_array_equal(stored.faces, skin.faces, err_msg=part)
        # One step of the grid: another machine's sine may round the other way.
        np.testing.assert_allclose(stored.vertices, on_grid(skin).vertices, rtol=0, atol=1 / 64, err_msg=part)


def test_every_mesh_and_piece_file_is_used(name: str, prop: Prop) -> None:
    forms = [shape.form for link in prop.links for shape in link.shapes if isinstance(shape.form, Mesh)]
    used = {form.path for form in forms} | {form.pieces for form in forms if form.pieces}
    assert {f"meshes/{path.name}" for path in (MODELS / name / "meshes").iterdir()} == used


def test_every_mesh_is_a_closed_surface_that_looks_outwards(prop: Prop) -> None:
    for path, content in prop.files.items():
        if path.endswith(".ply"):
            mesh = trimesh.load(BytesIO(content), file_type="ply")
            assert mesh.is_watertight and mesh.is_winding_consistent, path
            assert all(body.volume > 0 for body in mesh.split()), path


def test_no_mesh_is_a_burden_to_the_page(name: str) -> None:
    sizes = {path.name: path.stat().st_size for path in (MODELS / name / "meshes").iterdir()}
    assert {part: size for part, size in sizes.items() if size > MESH_BYTES} == {}


def test_the_pieces_cover_their_meshes(prop: Prop) -> None:
    assert coverage_findings(prop) == []


def test_a_solid_mesh_has_pieces(prop: Prop) -> None:
    bare = [
        link.name
        for link in prop.links
        for shape in link.shapes
        if shape.solid and isinstance(shape.form, Mesh) and shape.form.pieces is None
    ]
    assert bare == []


def test_either_neck_channel_of_the_heron_is_clear_alone_and_both_together_strike() -> None:
    prop = demo_prop("heron")
    drives = [drive.name for drive in prop.drives]
    fishing = posekit.pose(prop, posekit.Snapshot.read(MODELS / "heron/looks/fishing.csv")).values
    base, middle, both = (dict(fishing) for _ in range(3))
    base["neck_base"] = both["neck_base"] = 65535
    middle["neck_middle"] = both["neck_middle"] = 65535
    values = [[look[drive] for drive in drives] for look in (base, middle, both)]
    least = distances(prop, posekit.positions(prop, posekit.pulses(prop, values))).min(axis=1)
    assert (least[:2] >= prop.clearance.margin).all() and least[2] == 0.0
