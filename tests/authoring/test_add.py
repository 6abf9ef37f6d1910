"""What is added stands behind its kind, in the builder's way of writing, and changes no other line."""

from __future__ import annotations

import pytest

import posekit
from posekit.authoring.add import (
    add_drive,
    add_link,
    add_servo,
    add_shape,
    add_supply,
    ignore,
    judge,
    set_linkage,
)
from posekit.authoring.contents import at_zero
from posekit.authoring.parts import rewritten
from posekit.linkage import FourBar, Gear
from posekit.prop.model import Wire

TEXT = """\
# A chest that opens.
format = 1
name = "Chest"

# ---- servos ----

[servos.standard]   # from its box
travel = 180.0

# ---- links ----

[links.box]
[links.lid]
[[links.lid.shapes]]
box = [60, 40, 2]

# ---- joints ----

[joints.lid]
type = "revolute"
parent = "box"
child = "lid"
at = [0, 40, 25]
turn = [0, 0, 90]
axis = [1, 0, 0]
# ---- the end ----
"""


@pytest.fixture
def chest() -> posekit.Prop:
    return posekit.read({"prop.toml": TEXT.encode()})


def test_a_servo_comes_behind_the_servos_and_before_the_next_heading(chest: posekit.Prop) -> None:
    new = add_servo(chest, "micro", {"travel": 120.0, "voltage": [4.8, 6.0], "speed": None})
    block = "travel = 180.0\n\n[servos.micro]\ntravel = 120.0\nvoltage = [4.8, 6.0]\n"
    assert new.text == TEXT.replace("travel = 180.0\n", block)


def test_a_supply_comes_before_the_servos_that_it_feeds(chest: posekit.Prop) -> None:
    supply = "[supply]\nvoltage = 6.0\ncurrent = 5.0\n\n# ---- servos"
    fed = rewritten(chest, TEXT.replace("# ---- servos", supply))
    new = add_supply(fed, "eyes", {"voltage": 5.0, "current": 2.0, "wire": {"length": 900.0, "area": 0.5}})
    assert new.text.index("[supplies.eyes]") < new.text.index("[servos.")
    assert [(each.name, each.wire) for each in new.supplies] == [("eyes", Wire(length=900.0, area=0.5))]
    with pytest.raises(posekit.PosekitError, match="a supply of that name already"):
        add_supply(new, "eyes", {"voltage": 5.0, "current": 2.0})


def test_a_drive_with_its_linkage_comes_behind_all_before_it(chest: posekit.Prop) -> None:
    linkage = {"type": "four_bar", "crank": 20.0, "coupler": 60.0, "rocker": 30.0, "ground": 60.0}
    keys = {"servo": "standard", "joint": "lid", "pulse": {"low": 1100, "high": 1900}}
    new = add_drive(chest, "lid", keys, linkage)
    block = (
        "axis = [1, 0, 0]\n\n[drives.lid]\n"
        'servo = "standard"\njoint = "lid"\npulse = {low = 1100, high = 1900}\naddress = 1\n'
        '[drives.lid.linkage]\ntype = "four_bar"\ncrank = 20.0\ncoupler = 60.0\nrocker = 30.0\nground = 60.0\n\n'
    )
    assert new.text == TEXT.replace("axis = [1, 0, 0]\n", block)
    assert isinstance(new.drives[0].linkage, FourBar)


def test_a_drive_has_the_address_behind_all_others_of_its_universe(chest: posekit.Prop) -> None:
    chest = add_link(chest, "tray", "box", joint_keys={"type": "prismatic"})
    first = add_drive(chest, "lid", {"servo": "standard", "joint": "lid", "address": 510, "bits": 16})
    second = add_drive(first, "tray", {"servo": "standard", "joint": "tray"})
    assert [drive.address for drive in second.drives] == [510, 512]
    other = add_drive(first, "tray", {"servo": "standard", "joint": "tray", "universe": 2})
    assert other.drives[1].address == 1
    with pytest.raises(posekit.PosekitError, match="universe 1 has no address left"):
        add_drive(first, "tray", {"servo": "standard", "joint": "tray", "bits": 16})


def test_a_linkage_is_put_in_changed_and_taken_out_again(chest: posekit.Prop) -> None:
    driven = add_drive(chest, "lid", {"servo": "standard", "joint": "lid"})
    geared = set_linkage(driven, "lid", {"type": "gear", "ratio": 2.0})
    assert geared.text == driven.text.replace(
        "address = 1\n", 'address = 1\n[drives.lid.linkage]\ntype = "gear"\nratio = 2.0\n'
    )
    noted = posekit.read({"prop.toml": geared.text.replace("ratio = 2.0", "ratio = 2.0  # belt").encode()})
    slower = set_linkage(noted, "lid", {"type": "gear", "ratio": 3.0, "offset": 1.0})
    assert slower.text == noted.text.replace("ratio = 2.0  # belt", "ratio = 3.0  # belt\noffset = 1.0")
    assert slower.drives[0].linkage == Gear(ratio=3.0, offset=1.0)
    assert set_linkage(slower, "lid", None).text == driven.text


def test_a_new_link_lies_in_the_frame_of_the_world(chest: posekit.Prop) -> None:
    new = add_link(
        chest, "knob", "lid", {"mass": 3.0, "shapes": [{"sphere": {"radius": 4}}, {"box": [1, 2, 3]}]}
    )
    assert at_zero(new)["knob"] == pytest.approx(posekit.forward(chest, [[0.0]])[0][0], abs=1e-12)
    assert new.text == TEXT.replace(
        "box = [60, 40, 2]\n",
        "box = [60, 40, 2]\n\n[links.knob]\nmass = 3.0\n"
        "[[links.knob.shapes]]\nsphere = {radius = 4}\n[[links.knob.shapes]]\nbox = [1, 2, 3]\n",
    ).replace(
        "axis = [1, 0, 0]\n",
        'axis = [1, 0, 0]\n\n[joints.knob]\ntype = "fixed"\nparent = "lid"\nchild = "knob"\n'
        "at = [-40, 0, -25]\nturn = [0, 0, -90]\n\n",
    )


def test_a_shape_comes_behind_those_of_its_link(chest: posekit.Prop) -> None:
    new = add_shape(chest, "lid", {"sphere": {"radius": 4}, "at": [0, 0, 5]})
    assert new.text == TEXT.replace(
        "box = [60, 40, 2]\n",
        "box = [60, 40, 2]\n[[links.lid.shapes]]\nsphere = {radius = 4}\nat = [0, 0, 5]\n",
    )
    assert len(add_shape(new, "box", {"box": [1, 1, 1]}).links[0].shapes) == 1


def test_a_pair_is_left_out_and_judged_again(chest: posekit.Prop) -> None:
    left_out = ignore(chest, "lid", "box")
    assert left_out.clearance.ignore == (("lid", "box"),)
    assert 'axis = [1, 0, 0]\n\n[clearance]\nignore = [["lid", "box"]]\n\n# ---- the end' in left_out.text
    more = ignore(add_link(left_out, "knob", "lid"), "knob", "box")
    assert 'ignore = [["lid", "box"], ["knob", "box"]]' in more.text
    assert judge(more, "box", "lid").clearance.ignore == (("knob", "box"),)
    with pytest.raises(posekit.PosekitError, match="left out already"):
        ignore(more, "box", "knob")
    with pytest.raises(posekit.PosekitError, match="judged already; left out are: lid and box, knob and box"):
        judge(more, "lid", "knob")


def test_a_name_that_is_taken_or_empty_is_refused(chest: posekit.Prop) -> None:
    for add, kind in ((add_servo, "standard"), (add_servo, "")):
        with pytest.raises(posekit.PosekitError, match=r"already; use another|needs a name"):
            add(chest, kind, {})
    with pytest.raises(posekit.PosekitError, match="there is a part of that name already"):
        add_link(chest, "lid", "box")
    with pytest.raises(posekit.PosekitError, match="did you mean 'lid'"):
        add_link(chest, "knob", "lidd")


def test_what_makes_no_valid_prop_is_refused(chest: posekit.Prop) -> None:
    with pytest.raises(posekit.PosekitError, match="is not a key of this table"):
        add_servo(chest, "micro", {"speeed": 3})
    with pytest.raises(posekit.PosekitError, match="there is no joint of that name"):
        add_drive(chest, "lid", {"servo": "standard", "joint": "lit"})
