"""What is left out of neighbours lies in the zone that is told, and all else is judged.

Truth comes from outside: points of the shapes are drawn by trimesh or by hand, zones are cylinders by their
definition, and whether a point lies in a hull is asked of scipy.
"""

from __future__ import annotations

import json

import numpy as np
import pytest
import tomlkit
import trimesh
from scipy.spatial import ConvexHull
from scipy.spatial.transform import Rotation

import posekit
from posekit.arrays import Array
from posekit.clearance import LeftOut, Watch, envelope, left_out, pairs, watch
from posekit.clearance.covers import cover_of
from posekit.clearance.end_points import end_point_findings
from posekit.clearance.watch import bearing_findings
from posekit.prop.folder import PROP_FILE
from posekit.report.move import between
from posekit.report.pose import pose_report

pytestmark = pytest.mark.native


def prop_of(
    base: dict[str, object],
    wing: dict[str, object],
    *,
    joint: dict[str, object] | None = None,
    drive: dict[str, object] | None = None,
    clearance: dict[str, object] | None = None,
    files: dict[str, bytes] | None = None,
) -> posekit.Prop:
    """A base and a wing on one joint, with one drive, each of one shape."""
    table = {
        "format": 1,
        "name": "Hinge",
        "servos": {"plain": {"travel": 180.0}},
        "links": {"base": {"shapes": [base]}, "wing": {"shapes": [wing]}},
        "joints": {"hinge": {"type": "revolute", "parent": "base", "child": "wing"} | (joint or {})},
        "drives": {"hinge": {"servo": "plain", "joint": "hinge", "address": 1} | (drive or {})},
        "clearance": clearance or {},
    }
    return posekit.read({PROP_FILE: tomlkit.dumps(table).encode(), **(files or {})})


BODY: dict[str, object] = {"box": [80, 80, 80]}
# A plank that lies along the body's right side, hinged at its upper edge about x.
PLANK: dict[str, object] = {"box": [60, 6, 70], "at": [0, 0, -38]}
HINGE: dict[str, object] = {"at": [0, 46, 40], "axis": [1, 0, 0]}


def hinged(**more: object) -> posekit.Prop:
    return prop_of(BODY, PLANK, joint=HINGE, **more)  # type: ignore[arg-type]


def test_a_wing_that_swings_through_the_body_it_hangs_on_strikes_it() -> None:
    found = envelope(hinged())
    (verdict,) = found.pairs
    assert (verdict.pair, verdict.verdict) == (("base", "wing"), "strikes")


def test_a_wing_that_swings_away_from_its_body_only_is_clear() -> None:
    prop = hinged(drive={"pulse": {"low": 1500, "high": 2000}}, clearance={"margin": 1.0})
    (verdict,) = envelope(prop).pairs
    assert verdict.verdict == "clear" and left_out(prop) == ()


def test_a_strike_of_neighbours_is_told_in_a_pose_at_an_end_point_and_on_a_move() -> None:
    prop = hinged(drive={"speed": 60.0})
    assert [f.code for f in pose_report(prop, posekit.Snapshot.parse("1/1@0")).findings] == ["strikes"]
    assert [f.subject for f in end_point_findings(prop, watch(prop))] == ["drives.hinge.pulse.low"]
    assert [verdict.verdict for verdict in between(prop, [128], [0])] == ["strikes"]


def test_the_bearing_is_found_from_what_touches_at_zero_and_the_rest_is_judged() -> None:
    pin = prop_of(
        {"box": [40, 40, 40]},
        {"box": [10, 10, 120], "at": [0, 0, 60]},
        joint={"at": [0, 0, 12], "axis": [0, 1, 0]},
    )
    (zone,) = watch(pin).zones.values()
    assert not zone.given and 9.5 <= zone.radius <= 16.0
    assert left_out(pin) == (LeftOut(("base", "wing"), f"checked outside {zone}", whole=False),)
    assert str(zone).startswith(f"{zone.radius:g} mm about the axis of hinge")
    (verdict,) = envelope(pin).pairs
    assert verdict.verdict == "strikes"  # laid down, the arm lies in the block


def test_a_zone_in_the_prop_file_goes_before_what_is_found() -> None:
    text = hinged().text
    prop = posekit.read(
        {PROP_FILE: text.replace('child = "wing"\n', 'child = "wing"\nzone = 12.0\n').encode()}
    )
    (zone,) = watch(prop).zones.values()
    assert zone.given and zone.radius == 12.0 and zone.low <= -12.0 and zone.high >= 12.0
    assert "checked outside 12 mm about the axis of hinge" in left_out(prop)[0].why


def test_parts_that_touch_all_the_way_are_not_judged_and_say_so() -> None:
    lid = prop_of({"sphere": {"radius": 20}}, {"sphere": {"radius": 21}}, joint={"axis": [0, 1, 0]})
    assert pairs(lid) == [] and envelope(lid).pairs == ()
    (told,) = left_out(lid)
    assert told.whole and told.why.startswith("they touch all round: nothing of ")
    assert envelope(lid).left_out == (told,)
    with pytest.raises(posekit.PosekitError, match="touch all round"):
        envelope(lid, pairs=[("base", "wing")])


def test_a_contact_far_from_the_axis_is_no_bearing_but_a_strike() -> None:
    """A wing hinged clear of its body whose tip stands in the body's tail at zero."""
    tail = {"box": [20, 20, 20], "at": [150, 0, 0]}
    prop = prop_of(tail, {"box": [100, 4, 4], "at": [95, 0, 0]}, joint={"axis": [0, 1, 0]})
    assert watch(prop).zones == {} and left_out(prop) == ()
    (verdict,) = envelope(prop).pairs
    assert verdict.verdict == "strikes"


def test_a_wider_margin_does_not_make_less_be_judged() -> None:
    arm = {"box": [10, 10, 120], "at": [0, 0, 60]}
    narrow, wide = (
        prop_of({"box": [40, 40, 40]}, arm, joint={"axis": [0, 1, 0]}, clearance={"margin": margin})
        for margin in (2.0, 40.0)
    )
    assert watch(narrow).zones == watch(wide).zones != {}


def test_a_wide_bearing_that_nobody_gave_is_a_warning() -> None:
    through = prop_of({"box": [60, 60, 60]}, {"box": [90, 10, 10]}, joint={"axis": [0, 1, 0]})
    (told,) = bearing_findings(watch(through))
    assert (told.level, told.code, told.subject) == ("warning", "wide-bearing", "joints.hinge")
    given = posekit.edit(through, "joints.hinge.zone", 30.0)
    assert bearing_findings(watch(given)) == []


def test_a_slide_is_judged_wherever_its_parts_have_left_their_bearing() -> None:
    """A rod through a block may slide; the knob at its end may not come into the block."""
    rod = {"cylinder": {"radius": 6, "length": 200}}
    block = {"box": [50, 50, 40]}
    slide = {"type": "prismatic", "axis": [0, 0, 1], "stops": [-70.0, 70.0]}
    linkage = {
        "type": "slider_crank",
        "crank": 60.0,
        "coupler": 200.0,
        "joint_zero": 200.0,
        "shaft_zero": 90.0,
    }
    plain = prop_of(block, rod, joint=slide, drive={"linkage": linkage}, clearance={"margin": 0.5})
    (verdict,) = envelope(plain).pairs
    assert verdict.verdict == "clear", left_out(plain)
    table = tomlkit.parse(plain.text).unwrap()
    table["links"]["wing"]["shapes"].append({"sphere": {"radius": 15}, "at": [0, 0, 80]})
    knobbed = posekit.read({PROP_FILE: tomlkit.dumps(table).encode()})
    (verdict,) = envelope(knobbed).pairs
    assert verdict.verdict == "strikes"


# --- what remains holds all that lies outside of the zone ---


FORMS: dict[str, dict[str, object]] = {
    "box": {"box": [50, 30, 20]},
    "sphere": {"sphere": {"radius": 22}},
    "cylinder": {"cylinder": {"radius": 14, "length": 60}},
    "capsule": {"capsule": {"radius": 11, "length": 44}},
    "mesh": {"mesh": "stone.stl"},
    "pieces": {"mesh": "stone.stl", "pieces": "stone.json"},
}


def points_in(name: str, rng: np.random.Generator, count: int = 4000) -> Array:
    """Points (N, 3) of a form in its own frame, on its surface and within."""
    solid = {
        "box": lambda: trimesh.creation.box((50, 30, 20)),
        "sphere": lambda: trimesh.creation.icosphere(4, 22),
        "cylinder": lambda: trimesh.creation.cylinder(14, 60, 64),
        "capsule": lambda: trimesh.creation.capsule(44, 11),
        "mesh": stone,
        "pieces": stone,
    }[name]()
    surface = solid.vertices[solid.faces[rng.integers(len(solid.faces), size=count)]]
    weights = rng.dirichlet(np.ones(3), count)
    points = np.einsum("nij,ni->nj", surface, weights)
    middle = solid.bounds.mean(axis=0) if name == "capsule" else np.zeros(3)
    inwards = np.where(rng.random(count) < 0.5, 1.0, rng.random(count))
    return np.concatenate([(points - middle) * inwards[:, None], solid.vertices - middle])


def stone() -> trimesh.Trimesh:
    directions = np.random.default_rng(42).normal(size=(60, 3))
    cloud = directions / np.linalg.norm(directions, axis=1)[:, None] * [30.0, 20.0, 12.0]
    return trimesh.Trimesh(*hull_of(cloud))


def hull_of(points: Array) -> tuple[Array, Array]:
    hull = ConvexHull(points)
    a, b, c = (points[hull.simplices[:, i]] for i in range(3))
    inwards = np.einsum("fi,fi->f", np.cross(b - a, c - a), hull.equations[:, :3]) < 0
    return points, np.where(inwards[:, None], hull.simplices[:, ::-1], hull.simplices)


def stone_files() -> dict[str, bytes]:
    mesh = stone()
    pieces = {"format": 1, "skin": 0.4, "pieces": [mesh.vertices.tolist()]}
    return {"stone.stl": mesh.export(file_type="stl"), "stone.json": json.dumps(pieces).encode()}


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("form", FORMS)
def test_no_point_of_a_part_outside_its_zone_is_left_out(form: str, seed: int) -> None:
    rng = np.random.default_rng([seed, list(FORMS).index(form)])
    turn, at = rng.uniform(-180, 180, 3), rng.uniform(-8, 8, 3)
    shape = FORMS[form] | {"turn": turn.tolist(), "at": at.tolist()}
    joint = {
        "axis": rng.normal(size=3).tolist(),
        "at": rng.uniform(-10, 10, 3).tolist(),
        "turn": rng.uniform(-180, 180, 3).tolist(),
        "zone": float(rng.uniform(2, 14)),
    }
    kind = {"type": "prismatic", "stops": [-9.0, 16.0]} if seed % 3 == 2 else {}
    prop = prop_of(shape, {"box": [8, 8, 90]}, joint=joint | kind, files=stone_files())
    watched = watch(prop)
    pair = ("base", "wing")
    if pair not in watched.pairs:
        pytest.skip("swallowed")
    zone = watched.zones[pair]
    points = points_in(form, rng) @ Rotation.from_euler("xyz", turn, degrees=True).as_matrix().T + at
    (hinge,) = prop.joints
    axis = Rotation.from_euler("xyz", hinge.turn, degrees=True).apply(hinge.axis) / np.linalg.norm(hinge.axis)
    along = (points - hinge.at) @ axis
    from_axis = np.linalg.norm(points - hinge.at - along[:, None] * axis, axis=1)
    back, forth = zone.travel
    outside = (from_axis > zone.radius) | (along > zone.high + forth) | (along < zone.low + back)
    side = watched.sides_of(pair)[0]
    assert held(watched, side, points[outside]).all()


def held(watched: Watch, side: int, points: Array) -> Array:
    """Whether points (N, 3) lie in the pieces of a side, asked of scipy's hulls; (N,)."""
    parts, inside = watched.parts, np.zeros(len(points), bool)
    for s in range(parts.first[side], parts.first[side + 1]):
        cover = cover_of(parts, s)
        hull = ConvexHull(cover.points, qhull_options="QJ Pp")
        # Outside a hull grown by a radius lies whatever is further from a face than that; at edges a little more.
        inside |= (points @ hull.equations[:, :3].T + hull.equations[:, 3] <= cover.radius + 1e-5).all(axis=1)
    return inside
