"""What goes with a part is said, and goes only when asked for; all other lines stay."""

from __future__ import annotations

import pytest

import posekit
from posekit.authoring.parts import KINDS, names_of
from posekit.authoring.remove import goes_with, remove, remove_shape
from posekit.mechanism.tree import root_link
from tests.conftest import CASES, DEMO_PROPS, demo_prop


@pytest.fixture
def heron() -> posekit.Prop:
    return demo_prop("heron")


def test_a_link_goes_with_its_joint_all_that_hangs_on_it_and_what_moves_it(heron: posekit.Prop) -> None:
    told = [str(each) for each in goes_with(heron, "links", "wing_left")]
    assert told == [
        "joints.wing_left (carries 'wing_left')",
        "joints.hand_left (carries 'hand_left')",
        "links.hand_left (hangs on joint 'hand_left')",
        "joints.tip_left (carries 'tip_left')",
        "links.tip_left (hangs on joint 'tip_left')",
        "drives.wing_left (moves 'wing_left')",
        "clearance.ignore[1] (the pair wing_left and hand_left)",
        "clearance.ignore[2] (the pair wing_left and tip_left)",
        "clearance.ignore[3] (the pair hand_left and tip_left)",
    ]
    with pytest.raises(posekit.PosekitError, match="not alone: with it would go joints") as refused:
        remove(heron, "links", "wing_left")
    assert refused.value.findings[0].subject == "links.wing_left"
    left = remove(heron, "links", "wing_left", with_all=True)
    gone = {"wing_left", "hand_left", "tip_left"}
    for kind in KINDS:
        assert names_of(left, kind) == [
            name for name in names_of(heron, kind) if kind == "servos" or name not in gone
        ]
    # The heading above the table stays, and so does the one below its last line.
    assert "# ---- links: wings -----" in left.text and "# ---- joints -----" in left.text
    kept = [line for line in heron.text.splitlines() if line.strip()]
    rest = iter(kept)
    assert all(line in rest for line in left.text.splitlines() if line.strip())
    assert "\n\n\n\n" not in left.text
    assert left.files == heron.files


def test_a_leader_that_goes_leaves_its_followers_still(heron: posekit.Prop) -> None:
    told = [str(each) for each in goes_with(heron, "joints", "lid_left")]
    assert "joints.lid_right.follow (follows 'lid_left'; it would stand still)" in told
    left = remove(heron, "joints", "lid_left", with_all=True)
    assert next(joint for joint in left.joints if joint.name == "lid_right").follow is None


def test_loads_and_springs_go_with_the_part_that_carries_them() -> None:
    prop = posekit.load(CASES / "valid" / "every_key.toml")
    told = [str(each) for each in goes_with(prop, "links", "head")]
    assert "loads.cap (is carried by 'head')" in told
    assert "springs.neck (is hooked to 'neck')" in [str(each) for each in goes_with(prop, "links", "neck")]
    left = remove(prop, "links", "neck", with_all=True)
    assert left.loads == () and left.springs == ()


def test_drives_that_share_a_linkage_go_together() -> None:
    prop = posekit.load(CASES / "valid" / "every_key.toml")
    for name in ("lantern", "lantern_middle", "lantern_inner"):
        left = remove(prop, "drives", name, with_all=True)
        assert {drive.name for drive in prop.drives} - {drive.name for drive in left.drives} == {
            "lantern",
            "lantern_middle",
            "lantern_inner",
        }


def test_a_servo_type_goes_with_its_drives_and_an_unused_one_alone(heron: posekit.Prop) -> None:
    gone = {each.path for each in goes_with(heron, "servos", "micro") if each.file is None}
    assert gone == {("drives", "beak"), ("drives", "lids")}
    spare = posekit.edit(heron, "servos.spare.travel", 90.0)
    assert remove(spare, "servos", "spare").text == heron.text


def test_values_of_a_drive_that_goes_are_taken_out_of_the_cues(arm_text: str) -> None:
    first = b'format = 1\n[[cues]]\nname = "a"\nvalues = {shoulder = 3}\n'
    show = first + b'[[cues]]\nname = "b"\nvalues.shoulder = 4 # up\n'
    prop = posekit.read({"prop.toml": arm_text.encode(), "shows/a.toml": show})
    told = [str(each) for each in goes_with(prop, "drives", "shoulder")]
    assert told == [f"shows/a.toml: cues[{i}].values.shoulder (a value for 'shoulder')" for i in (0, 1)]
    left = remove(prop, "drives", "shoulder", with_all=True)
    assert (
        left.files["shows/a.toml"] == b'format = 1\n[[cues]]\nname = "a"\nvalues = {}\n[[cues]]\nname = "b"\n'
    )


@pytest.mark.parametrize("name", DEMO_PROPS)
def test_any_part_goes_and_leaves_a_prop_that_reads(name: str) -> None:
    prop = demo_prop(name)
    for kind in KINDS:
        for part in names_of(prop, kind)[::3]:
            if kind == "links" and part == root_link(prop):
                with pytest.raises(posekit.PosekitError, match="carries all other parts"):
                    remove(prop, kind, part, with_all=True)
                continue
            left = remove(prop, kind, part, with_all=True)
            gone = {(kind, part), *(each.path for each in goes_with(prop, kind, part) if len(each.path) == 2)}
            for each in KINDS:
                assert names_of(left, each) == [
                    name for name in names_of(prop, each) if (each, name) not in gone
                ]


def test_a_shape_goes_alone_and_its_mesh_stays(heron: posekit.Prop) -> None:
    left = remove_shape(heron, "wing_left", 1)
    assert [shape.form for shape in left.links[-6].shapes] == [
        shape.form for i, shape in enumerate(heron.links[-6].shapes) if i != 1
    ]
    assert left.files == heron.files
    with pytest.raises(posekit.PosekitError, match="has 4 shapes, numbered from 0"):
        remove_shape(heron, "wing_left", 4)
