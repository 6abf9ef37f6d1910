"""The linkage that makes a movement, asked of a prop and written into its file."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

import posekit
from posekit.authoring.movement import Movement, proposals, with_linkage
from posekit.authoring.synthesis import Place, Sizes, Stock, one_of
from posekit.errors import PosekitError
from posekit.mechanism.reach import reach

ARM = "stops = [-80, 80]"
SLIDE = 'type = "prismatic"'


def column(prop: posekit.Prop, name: str) -> int:
    return [joint.name for joint in prop.joints].index(name)


@pytest.mark.parametrize(("low", "high"), [(1000, 2000), (2000, 1000), (700, 1400)])
@pytest.mark.parametrize("wanted", [(-10.0, 35.0), (35.0, -10.0)])
def test_what_is_written_reaches_what_was_said_from_value_0_to_full_scale(
    make_prop: Callable, arm_text: str, low: int, high: int, wanted: tuple[float, float]
) -> None:
    prop = make_prop(arm_text.replace("low = 1000, high = 2000", f"low = {low}, high = {high}"))
    place = Stock(places=(Place(shaft_at=(30.0, 0.0, 40.0)),))
    found = proposals(prop, "shoulder", Movement(joint=wanted), place)
    assert {each.type for each in found.candidates} >= {"gear", "four_bar", "push_rod"}
    for each in found.candidates:
        changed = with_linkage(prop, "shoulder", each)
        np.testing.assert_allclose(reach(changed)[0], each.reach, atol=2e-3)
        ends = posekit.positions(changed, posekit.pulses(changed, [[0], [255]]))[:, 0]
        np.testing.assert_allclose(ends, wanted, atol=0.5)
        assert {finding.code for finding in posekit.check(changed)} <= {"transmission-angle", "not-at-zero"}


def test_a_slide_is_moved_by_a_slider_crank_or_a_rack(make_prop: Callable, arm_text: str) -> None:
    prop = make_prop(arm_text.replace('type = "revolute"', SLIDE))
    found = proposals(prop, "shoulder", Movement(joint=(-6.0, 12.0)))
    assert {each.type for each in found.candidates} == {"gear", "slider_crank"}
    assert found.as_dict()["unit"] == "mm"
    for each in found.candidates:
        assert reach(with_linkage(prop, "shoulder", each))[0] == pytest.approx(each.reach, abs=2e-3)
        assert each.reach[0] <= -6.0 and each.reach[1] >= 12.0


def test_the_json_holds_what_the_prop_file_takes(arm: posekit.Prop) -> None:
    found = proposals(arm, "shoulder", Movement(joint=(-10.0, 35.0)))
    told = found.as_dict()
    assert told["drive"] == "shoulder"
    angles = [each["transmission_deg"] for each in told["candidates"]]
    assert angles == sorted(angles, reverse=True)
    for each, candidate in zip(told["candidates"], found.candidates, strict=True):
        low, high = each["reach"]
        assert low <= -10.0 and high >= 35.0
        assert each["straightness_deg"] >= 0.0
        again = posekit.edit(arm, "drives.shoulder.linkage", {"type": each["type"], **each["dimensions"]})
        assert again.drives[0].linkage == candidate.linkage


def test_comments_and_order_of_the_file_stay(arm_text: str, make_prop: Callable) -> None:
    text = arm_text + (
        '\n[drives.shoulder.linkage]   # under the wing\ntype = "four_bar"\ncrank = 20.0    # third hole\n'
        "coupler = 60.0\nrocker = 30.0\nground = 60.0   # to the bulkhead\n\n# the end\n"
    )
    prop = make_prop(text)
    found = proposals(prop, "shoulder", Movement(joint=(-10.0, 35.0)), types=("four_bar",))
    changed = with_linkage(prop, "shoulder", found.candidates[0]).text
    for comment in ("# under the wing", "# third hole", "# to the bulkhead", "# the end", "# A plain arm"):
        assert comment in changed
    assert changed.startswith(arm_text.rstrip()[:200])
    gear = proposals(prop, "shoulder", Movement(joint=(-10.0, 35.0)), types=("gear",)).candidates[0]
    turned = with_linkage(prop, "shoulder", gear)
    assert turned.drives[0].linkage == gear.linkage
    assert "# under the wing" in turned.text and "coupler" not in turned.text and "# the end" in turned.text


def test_without_a_range_the_hard_stops_are_it_and_none_is_passed(arm: posekit.Prop) -> None:
    found = proposals(arm, "shoulder", Movement(), types=("gear",))
    assert found.wanted == (-80.0, 80.0)
    for each in found.candidates:
        assert -80.0 <= each.reach[0] <= -79.9 and 79.9 <= each.reach[1] <= 80.0


def test_positions_at_values_are_met(arm: posekit.Prop) -> None:
    wanted = ((0, -20.0), (128, -2.0), (255, 30.0))
    found = proposals(arm, "shoulder", Movement(positions=wanted, within=0.3))
    assert found.candidates
    for each in found.candidates:
        changed = with_linkage(arm, "shoulder", each)
        there = posekit.positions(changed, posekit.pulses(changed, [[0], [128], [255]]))[:, 0]
        np.testing.assert_allclose(there, [-20.0, -2.0, 30.0], atol=0.301)


def test_a_push_rod_is_sought_where_the_servo_of_the_prop_sits() -> None:
    heron = posekit.load("models/heron")
    found = proposals(heron, "wing_left", Movement(joint=(-20.0, 40.0)), types=("push_rod",))
    now = next(drive.linkage for drive in heron.drives if drive.name == "wing_left")
    assert found.candidates
    for each in found.candidates:
        assert (each.linkage.shaft_at, each.linkage.shaft_axis) == (now.shaft_at, now.shaft_axis)
        assert each.linkage.horn_ball[0] == pytest.approx(now.horn_ball[0])
        changed = with_linkage(heron, "wing_left", each)
        low, high = reach(changed)[column(heron, "wing_left")]
        assert low <= -20.0 + 1e-9 and high >= 40.0 - 1e-9


@pytest.mark.parametrize("left_out", ["four_bar", "slider_crank"])
def test_a_linkage_of_a_prop_that_leaves_out_joint_zero_stands_at_0_at_shaft_0(
    make_prop: Callable, arm_text: str, left_out: str
) -> None:
    bars = "crank = 20\ncoupler = 60\nshaft_zero = 80\n" + (
        "rocker = 30\nground = 60\n" if left_out == "four_bar" else ""
    )
    text = arm_text.replace('type = "revolute"', SLIDE) if left_out == "slider_crank" else arm_text
    prop = make_prop(f'{text}\n[drives.shoulder.linkage]\ntype = "{left_out}"\n{bars}')
    assert posekit.positions(prop, [[1500.0]])[0, 0] == 0.0
    assert abs(posekit.positions(prop, [[1600.0]])[0, 0]) > 1.0


def test_of_what_is_not_found_it_is_told_which_wish_is_in_the_way(arm: posekit.Prop) -> None:
    found = proposals(
        arm, "shoulder", Movement(joint=(-10.0, 35.0)), Stock(rods=Sizes(400.0, 420.0)), ("four_bar", "gear")
    )
    (told,) = found.findings
    assert (told.level, told.code, told.subject) == ("warning", "no-linkage", "shoulder")
    assert "the rods: one of" in told.message
    alone = proposals(
        arm, "shoulder", Movement(joint=(-10.0, 35.0)), Stock(grounds=one_of(900.0)), ("four_bar",)
    )
    assert [each.level for each in alone.findings] == ["error"]
    assert not alone.candidates


@pytest.mark.parametrize(
    ("change", "movement", "types", "code", "said"),
    [
        ({}, Movement(joint=(-10.0, 90.0)), (), "past-stop", "its hard stops stand at -80 and 80"),
        ({}, Movement(joint=(5.0, 5.0)), (), "out-of-range", "is to move 0 deg; use 0.5 or more"),
        ({}, Movement(positions=((0, 1.0), (100, 20.0), (255, 20.0))), (), "stands-still", "all the way"),
        ({}, Movement(joint=(5.0, 5.2)), (), "out-of-range", "use 0.5 or more"),
        ({}, Movement(joint=(float("nan"), 5.0)), (), "wrong-value", "finite positions"),
        ({}, Movement(positions=((0, 1.0), (100, 20.0), (255, 10.0))), (), "turns-back", "only rises or only falls"),
        ({}, Movement(positions=((0, 1.0), (300, 20.0))), (), "out-of-range", "from 0 to 255"),
        ({}, Movement(positions=((0, 1.0), (0, 20.0))), (), "wrong-value", "different values"),
        ({}, Movement(joint=(0.0, 20.0), transmission_deg=95.0), (), "out-of-range", "less than 90"),
        ({}, Movement(joint=(0.0, 20.0), straightness=-1.0), (), "out-of-range", "use more than 0"),
        ({}, Movement(joint=(0.0, 20.0), within=0.0), (), "out-of-range", "use 0.05 or more"),
        ({}, Movement(joint=(0.0, 20.0)), ("slider_crank",), "wrong-value", "direct, gear, four_bar"),
        ({}, Movement(joint=(0.0, 20.0)), ("differential",), "wrong-value", "direct, gear, four_bar"),
        ({ARM: ""}, Movement(), (), "no-range", "it has no hard stops"),
        ({ARM: ""}, Movement(joint=(-200.0, 200.0)), (), "out-of-range", "use 350 or less"),
        ({"low = 1000, high = 2000": "low = 1500, high = 1500"}, Movement(joint=(0.0, 20.0)), (), "no-travel", "apart"),
    ],
)  # fmt: skip
def test_a_movement_that_no_linkage_makes_is_refused(
    make_prop: Callable, arm_text: str, change: dict, movement: Movement, types: tuple, code: str, said: str
) -> None:
    for old, new in change.items():
        assert old in arm_text
        arm_text = arm_text.replace(old, new)
    with pytest.raises(PosekitError) as refused:
        proposals(make_prop(arm_text), "shoulder", movement, types=types)
    assert [finding.code for finding in refused.value.findings] == [code]
    assert said in refused.value.findings[0].message


def test_drives_that_share_a_linkage_and_unknown_ones_are_refused(every_key: posekit.Prop) -> None:
    for name, code, said in (
        ("neck_a", "shared-linkage", "shares a linkage with neck_b"),
        ("neck_b", "shared-linkage", "shares a linkage with neck_a"),
        ("nose", "unknown-drive", "the drives are: "),
    ):
        with pytest.raises(PosekitError) as refused:
            proposals(every_key, name, Movement(joint=(0.0, 20.0)))
        assert refused.value.findings[0].code == code
        assert said in refused.value.findings[0].message
