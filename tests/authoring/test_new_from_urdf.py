"""From a URDF to a figure that moves under its channels: the prop that `new` makes, and where its parts stand."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

import posekit
from posekit.authoring.mesh_kept import Wishes
from posekit.authoring.new import New, prop_of
from posekit.cli.main import main
from posekit.exchange.urdf.assembly import urdf_assembly
from posekit.exchange.urdf.lookup import among
from posekit.linkage import Direct, Gear

LANTERN = Path(__file__).parents[1] / "exchange" / "lantern.urdf"
ARM = b"solid arm\nfacet\nouter loop\nvertex 0 0 5\nvertex 10 0 5\nvertex 0 10 5\nendloop\nendfacet\nendsolid arm\n"


def lantern() -> New:
    assembly = urdf_assembly(
        LANTERN.read_bytes(), "lantern.urdf", among({"meshes/arm.stl": ARM}, "lantern.urdf")
    )
    return prop_of(assembly, Wishes(pieces=False))


def test_the_figure_loads_poses_and_moves_from_stop_to_stop() -> None:
    prop = lantern().prop
    assert [drive.name for drive in prop.drives] == ["swivel", "lift"]
    # The lift goes 100 degrees, and a servo 90.
    assert [type(drive.linkage) for drive in prop.drives] == [Direct, Gear]
    ends = posekit.positions(prop, posekit.pulses(prop, [[0, 0], [255, 255]]))
    names = [joint.name for joint in prop.joints]
    assert ends[:, names.index("swivel")] == pytest.approx([-45, 45])
    assert ends[:, names.index("lift")] == pytest.approx(np.degrees([-0.5, 1.25]), abs=0.2)
    rise = np.clip(20 * np.radians(ends[:, names.index("lift")]) + 5, -10, 30)
    assert ends[:, names.index("rise")] == pytest.approx(rise)
    # The keeper's arm does strike its post; the end points press on no stop.
    assert {finding.code for finding in posekit.check(prop) if finding.level == "error"} == {"strikes"}


def test_at_rest_the_figure_stands_as_the_urdf_draws_it() -> None:
    prop = lantern().prop
    state = posekit.pose(prop, posekit.Snapshot({}))
    assert state.joints["swivel"] == pytest.approx(0, abs=0.2)
    assert state.joints["lift"] == pytest.approx(0, abs=0.2)
    assert state.links["turret"][:3, 3] == pytest.approx([0, 0, 200])


def test_what_is_judged_and_what_is_drawn_goes_into_the_file() -> None:
    arm = next(link for link in lantern().prop.links if link.name == "arm")
    assert [(shape.drawn, shape.solid) for shape in arm.shapes] == [(True, False), (False, True)]
    assert {finding.code for finding in lantern().findings} >= {
        "held",
        "continuous",
        "drives-made",
        "drives-geared",
    }


@pytest.mark.native
def test_posekit_new_makes_a_folder_of_a_urdf_and_nothing_of_a_wrong_one(tmp_path: Path) -> None:
    (tmp_path / "keeper" / "urdf").mkdir(parents=True)
    (tmp_path / "keeper" / "meshes").mkdir()
    urdf = tmp_path / "keeper" / "urdf" / "keeper.urdf"
    urdf.write_bytes(LANTERN.read_bytes())
    (tmp_path / "keeper" / "meshes" / "arm.stl").write_bytes(ARM)
    made = CliRunner().invoke(main, ["new", str(tmp_path / "prop"), str(urdf)])
    assert made.exit_code == 0, made.output
    prop = posekit.load(tmp_path / "prop")
    assert len(prop.links) == 8
    urdf.write_text(LANTERN.read_text().replace('type="planar"', 'type="hinge"'))
    refused = CliRunner().invoke(main, ["new", str(tmp_path / "other"), str(urdf)])
    assert refused.exit_code == 2
    assert "keeper.urdf:73" in refused.output
    assert "use one of revolute, continuous" in refused.output
    assert not (tmp_path / "other").exists()
