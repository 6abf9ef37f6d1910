"""The proved worst case against dense sampling: never below what a pose asks for, and not much above."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import posekit
from posekit.mechanism.joints import solve
from posekit.mechanism.kinematics import forward
from posekit.statics import apart, shaft_torques, tilted, torques, tried, worst
from posekit.statics.boxes import bound, question
from posekit.statics.burden import STANDARD_GRAVITY, burden_of
from posekit.statics.coils import holds_of, spring_play
from posekit.statics.shafts import shaft_torque, to_shafts
from posekit.statics.sphere import at_most, corners
from posekit.statics.upright import bound_by_levers, levers_alone_say
from posekit.statics.ways import ways_of
from posekit.statics.worst import NOTHING_NM, Holding, worst_holding, worst_of
from tests.conftest import IN_A_PAGE, demo_prop, prop_of
from tests.statics.test_statics import ARM, FORE
from tests.statics.weighed import Array, random_figure, random_values

FIGURES = range(1 if IN_A_PAGE else 30)
SPRING = "[springs.s]\nlink = 'l0'\nat = [5, 9, 80]\nother = 'l4'\nother_at = [30, 0, 8]\nrate = 0.03\n"
SPRUNG = ("", f"{SPRING}free = 90\n", f"{SPRING}free = 90\npushes = true\n")


def sampled(prop: posekit.Prop, found: tuple[Holding, ...], poses: int) -> Array:
    """The most of each servo over random values, ends more often than others, and over those about what was found."""
    rng = np.random.default_rng(1)
    values = random_values(prop, rng, poses)
    full = np.array([drive.full_scale for drive in prop.drives])
    ends = rng.random(values.shape) < 0.3
    values[ends] = np.where(values[ends] * 2 > np.broadcast_to(full, values.shape)[ends], 1.0, 0.0)
    values = np.where(ends, values * full, values)
    most = np.abs(shaft_torques(prop, values)).max(axis=0)
    for d, holding in enumerate(found):
        near = holding.values + rng.integers(-3, 4, (200, len(full))) * (full > 0)
        near = np.clip(near, 0, full)
        most[d] = max(most[d], float(np.abs(shaft_torques(prop, near)[:, d]).max()))
    return most


def holds(prop: posekit.Prop, poses: int) -> None:
    found = worst_holding(prop)
    most = sampled(prop, found, poses)
    for d, (holding, dense) in enumerate(zip(found, most.tolist(), strict=True)):
        assert holding.drive == prop.drives[d].name
        assert shaft_torques(prop, holding.values)[0, d] == pytest.approx(holding.found_nm, abs=1e-15)
        assert holding.most_nm >= max(dense, abs(holding.found_nm)) * (1 - 1e-12)
        assert holding.most_nm <= max(1.05 * dense, dense + NOTHING_NM)
        assert holding.tight


@pytest.mark.parametrize("seed", FIGURES)
def test_no_pose_of_a_random_figure_asks_for_more_than_is_proved(seed: int) -> None:
    holds(random_figure(seed, links=4 + seed % 4), 5000)


@pytest.mark.parametrize("spring", SPRUNG[1:], ids=["pulls", "pushes"])
@pytest.mark.parametrize("seed", range(0 if IN_A_PAGE else 6))
def test_no_pose_of_a_figure_with_a_spring_asks_for_more_than_is_proved(seed: int, spring: str) -> None:
    """The one that pushes comes to no length at all in figure 5."""
    prop = random_figure(seed, links=5, extras=spring)
    for holding, most in zip(
        (found := worst_holding(prop)), sampled(prop, found, 3000).tolist(), strict=True
    ):
        assert holding.most_nm >= most * (1 - 1e-12)
        assert holding.most_nm <= 1.05 * abs(holding.found_nm) + NOTHING_NM and holding.tight


def test_a_neighbour_at_rest_leaves_less_to_hold_than_the_worst_of_all() -> None:
    """Of the two-link arm the shoulder has most with the elbow straight; at rest that is 45 degrees off."""
    bent = prop_of(ARM.replace('joint = "elbow"', 'joint = "elbow"\nrest = 255') + FORE)
    shoulder = worst_holding(bent)[0]
    weights = np.array([0.170 * 0.085, 0.050 * 0.060]) * STANDARD_GRAVITY
    assert abs(shoulder.found_nm) == pytest.approx(weights.sum(), rel=1e-3)
    assert shoulder.alone_nm == pytest.approx(
        float(np.hypot(weights[0] + weights[1] * 0.5**0.5, weights[1] * 0.5**0.5)), rel=2e-3
    )


@pytest.mark.native
@pytest.mark.parametrize("name", ["heron", "bellows", pytest.param("longwood", marks=pytest.mark.long)])
def test_no_pose_of_a_demo_prop_asks_for_more_than_is_proved(name: str) -> None:
    holds(demo_prop(name), 5000)


@pytest.mark.parametrize("seed", range(2 if IN_A_PAGE else 12))
def test_no_pose_within_a_box_asks_for_more_than_its_bound(seed: int) -> None:
    """Small and large boxes, springs that pull and push, shafts between any two values."""
    rng = np.random.default_rng(seed)
    prop = random_figure(seed, extras=SPRUNG[seed % 3])
    burden = burden_of(prop)
    ways = ways_of(prop, burden)
    size = np.exp(rng.uniform(-4, 0, (40, 1))) * np.ptp(ways.span, axis=1)
    low = ways.span[:, 0] + rng.random((40, len(prop.drives))) * (np.ptp(ways.span, axis=1) - size)
    high = low + size
    share = rng.random((60, 40, len(prop.drives)))
    share[:30] = np.rint(share[:30])
    shaft = low + share * size
    assert SPRUNG[seed % 3] == "" or prop.springs
    solved = solve(prop, shaft.reshape(-1, len(prop.drives)), burden.mechanism)
    asked = to_shafts(prop, burden, torques(prop, solved.position, burden), solved.held)
    most = np.abs(asked).reshape(60, 40, -1).max(axis=0)
    tried = 0
    for d in range(len(prop.drives)):
        about = question(prop, ways, d)
        told = bound(about, low, high).most
        assert (told >= most[:, d] * (1 - 1e-9)).all()
        # A box without width has the torque of its pose, but for what the table of a linkage's rates adds.
        point = bound(about, shaft[0], shaft[0]).most
        assert point == pytest.approx(np.abs(asked.reshape(60, 40, -1)[0, :, d]), rel=0.02, abs=1e-9)
        if levers_alone_say(about):
            assert (bound_by_levers(about, low, high).most >= most[:, d] * (1 - 1e-9)).all()
            tried += 1
    assert tried or prop.springs


@pytest.mark.parametrize("seed", FIGURES[:6])
def test_a_proof_that_is_cut_short_is_a_proof(seed: int) -> None:
    """However little time there was: never below what a pose asks for, and said where it was not enough."""
    prop = random_figure(seed, links=7)
    ways = ways_of(prop, burden_of(prop))
    rounds = iter(range(seed))
    cut = tuple(
        worst_of(question(prop, ways, d), lambda: next(rounds, None) is None) for d in range(len(prop.drives))
    )
    for holding, dense in zip(cut, sampled(prop, cut, 2000).tolist(), strict=True):
        assert holding.most_nm >= dense * (1 - 1e-12)
        assert holding.cut is not holding.tight
        assert holding.tight or holding.loose > 0.03


@pytest.mark.parametrize("seed", [1, 2, 3, 5])  # with servos that are proved by boxes
def test_between_two_looks_at_the_clock_so_many_boxes_are_judged(seed: int, monkeypatch) -> None:
    judged: list[int] = []

    def counted(bounded):
        def counting(asked, low, high):
            judged.append(len(low))
            return bounded(asked, low, high)

        return counting

    for name in ("bound", "bound_by_levers"):
        monkeypatch.setattr(worst, name, counted(getattr(worst, name)))
    prop = random_figure(seed, links=7)
    ways = ways_of(prop, burden_of(prop))
    most = looks = boxes = 0
    for d in range(len(prop.drives)):
        for _ in worst.worst_steps(question(prop, ways, d)):
            most, boxes, looks = max(most, sum(judged)), boxes + sum(judged), looks + 1
            judged.clear()
        judged.clear()
    assert most <= 2 * worst.BATCH + 2  # a batch cut in two, and the first box of what comes next
    assert looks > len(prop.drives) and boxes > most


@pytest.mark.parametrize("seed", range(2 if IN_A_PAGE else 8))
def test_a_function_on_the_grid_is_never_above_its_bound_and_near_it(seed: int) -> None:
    """The largest of some linear functions, each the exact value of what the grid stands for."""
    rng = np.random.default_rng(seed)
    linear = rng.normal(size=(1 + 5 * seed, 3))
    vectors = rng.normal(size=(3, 4000)) * np.exp(rng.uniform(-9.0, 9.0, 4000))
    vectors[:, :8] = [[1, 0, 0, 1, -1, 0, 1, 0], [0, -1, 0, 1, 1, 1, 1, 0], [0, 0, 1, 0, 1, -1, -1, 0]]
    exact = (linear @ vectors).max(axis=0)
    told = at_most((linear @ corners()).max(axis=0), vectors)
    scale = np.linalg.norm(vectors, axis=0) * np.linalg.norm(linear, axis=1).max()
    assert (told >= exact - 1e-12 * scale).all()
    assert (told - exact <= 0.05 * scale).all() and (told - exact).sum() < 4e-3 * scale.sum()
    assert seed or told == pytest.approx(exact, rel=1e-9, abs=1e-12 * scale.max())


def chain(count: int) -> posekit.Prop:
    """Joints across each other, one on the other, each with a servo of its own."""
    rows = ["format = 1", 'name = "chain"', "[servos.s]", "[links.l0]"]
    for i in range(1, count + 1):
        rows += [f"[links.l{i}]", f"[loads.w{i}]\nlink = 'l{i}'\nmass = 20\nat = [0, 3, 15]"]
        rows += [f"[joints.j{i}]\ntype = 'revolute'\nparent = 'l{i - 1}'\nchild = 'l{i}'\nat = [0, 0, 30]"]
        rows += [f"axis = {[1, 0, 0] if i % 2 else [0, 1, 0]}"]
        rows += [f"[drives.d{i}]\nservo = 's'\njoint = 'j{i}'\naddress = {i}"]
    return prop_of("\n".join(rows))


@pytest.mark.native
def test_between_two_looks_at_the_clock_one_joint_of_a_chain_is_gone_through(monkeypatch) -> None:
    gone: list[str] = []

    def counted(module, name: str) -> None:
        plain = getattr(module, name)

        def counting(*given):
            gone.append(name)
            return plain(*given)

        monkeypatch.setattr(module, name, counting)

    counted(apart, "_beyond")  # the most of what a joint carries
    counted(tilted, "_looked_up")  # what a servo gives by how gravity lies before the next joint
    prop = chain(6)
    ways = ways_of(prop, burden_of(prop))
    steps = [len(gone) for _ in tilted.bound_steps(question(prop, ways, 0), apart.apart(ways)) if gone]
    assert sorted(set(steps)) == list(range(1, 6)), (
        "one more at most: from the tip in, none on the way to the root"
    )
    gone.clear()
    steps = [len(gone) for _ in tilted.bound_steps(question(prop, ways, 5), apart.apart(ways)) if gone]
    assert sorted(set(steps)) == list(range(1, steps[-1] + 1)) and steps[-1] >= 2


@pytest.mark.parametrize("seed", FIGURES[:6])
def test_of_a_servo_that_was_not_begun_before_a_stop_only_its_own_values_are_tried(
    seed: int, monkeypatch
) -> None:
    """Whoever stops waits for all servos that are left."""
    poses: list[int] = []

    def torque_of(prop, values, burden, d):
        poses.append(len(values))
        return shaft_torque(prop, values, burden, d)

    monkeypatch.setattr(tried, "shaft_torque", torque_of)
    prop = random_figure(seed, links=7)
    ways = ways_of(prop, burden_of(prop))
    for d in range(len(prop.drives)):
        poses.clear()
        found = worst_of(question(prop, ways, d), lambda: True)
        assert poses == [256]
        assert abs(found.found_nm) == found.alone_nm


@pytest.mark.native
def test_of_a_servo_that_was_not_begun_before_a_stop_levers_alone_tell_where_they_can(monkeypatch) -> None:
    judged: list[int] = []

    def counted(asked, low, high):
        judged.append(asked.d)
        return bound(asked, low, high)

    monkeypatch.setattr(worst, "bound", counted)
    prop = demo_prop("heron")
    ways = ways_of(prop, burden_of(prop))
    for d, drive in enumerate(prop.drives):
        asked = question(prop, ways, d)
        found = worst_of(asked, lambda: True)
        assert np.isfinite(found.most_nm) and (d in judged) is not levers_alone_say(asked), drive.name


@pytest.mark.native
def test_a_chain_of_many_joints_is_proved_without_a_box() -> None:
    """16 joints across each other: as many boxes as poses would never end."""
    prop = chain(16)
    assert [holding.boxes for holding in worst_holding(prop)] == [0] * 16
    holds(prop, 2000)


@pytest.mark.parametrize("seed", range(1 if IN_A_PAGE else 6))
def test_slopes_of_a_spring_are_those_of_its_torque(seed: int) -> None:
    """By differences over a little more and less of each joint; what is slack has none."""
    prop = random_figure(
        seed, links=6, extras=f"{SPRING}free = 60\n" + ("pushes = true\n" if seed % 2 else "")
    )
    burden, rng = burden_of(prop), np.random.default_rng(seed)
    light = replace(burden, mass_kg=0.0 * burden.mass_kg)
    weight = rng.normal(size=len(prop.joints))
    (hold,) = holds_of(prop, burden, np.full(len(prop.joints), 50.0))
    position = rng.uniform(-40.0, 40.0, (5, len(prop.joints)))
    world = forward(prop, position, burden.mechanism.tree).transpose(1, 2, 3, 0)
    told = spring_play(hold, world, np.full(position.shape, 1e-7), weight).slope
    for j in range(len(prop.joints)):
        step = np.zeros(len(prop.joints))
        step[j] = 1e-4
        more, less = (torques(prop, position + way * step, light) @ weight for way in (1.0, -1.0))
        assert told[:, j] == pytest.approx((more - less) / (2e-4 * burden.si[j]), rel=1e-4, abs=1e-6)


@pytest.mark.parametrize("more", ["", FORE], ids=["alone", "loaded"])
def test_a_spring_that_comes_to_no_length_has_a_near_bound_all_the_same(more: str) -> None:
    """Its ends meet with the arm level, where it pushes by rate times free length, whichever way: 1.6 N at 85 mm.

    16 bits, for the next of 256 values is half a millimetre away.
    """
    spring = "[springs.s]\nlink = 'base'\nat = [85, 0, 0]\nother = 'upper'\nother_at = [85, 0, 0]\n"
    fine = (ARM if more else ARM.replace("mass = 120", "mass = 0.001")).replace(
        "address = 1\n", "address = 11\nbits = 16\n"
    )
    prop = prop_of(f"{fine}{more}{spring}rate = 0.02\nfree = 80\npushes = true\n")
    shoulder = worst_holding(prop)[0]
    dense = sampled(prop, (shoulder,), 4000)[0]
    assert shoulder.tight and dense * (1 - 1e-12) <= shoulder.most_nm <= 1.05 * dense
    # Just above level it works with the weights, just below against them.
    weights = (0.170 * 0.085 + 0.050 * 0.060) * STANDARD_GRAVITY if more else 0.0
    assert shoulder.most_nm == pytest.approx(0.02 * 80 * 0.085 + weights, rel=0.031)
    assert shoulder.most_nm >= (0.02 * 80 * 0.085 + weights) * (1 - 1e-3)


def test_a_slack_spring_and_a_dead_point_are_told_as_they_are() -> None:
    """A linkage that reaches the end of what it closes at cannot be held there: no bound, and not a wrong one."""
    linkage = "crank = 30.0\ncoupler = 30.0\nrocker = 40.0\nground = 70.0\nshaft_zero = 90.0\n"
    prop = prop_of(f"{ARM}{FORE}[drives.elbow.linkage]\ntype = 'four_bar'\n{linkage}")
    wide = replace(prop.drives[1].pulse, low=500.0, high=2500.0)
    prop = replace(prop, drives=(prop.drives[0], replace(prop.drives[1], pulse=wide)))
    assert worst_holding(prop)[1].most_nm > 1.0
    assert not worst_holding(prop)[1].tight
