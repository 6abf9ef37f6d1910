"""What all linkages promise alike; a new linkage is taken in by its line in LINKAGES and one here."""

from __future__ import annotations

import json
import pickle
from contextlib import suppress
from dataclasses import FrozenInstanceError, fields, replace

import numpy as np
import pytest

import posekit
from posekit.fields import is_key
from posekit.linkage import LINKAGES, Hinge

HINGE = Hinge((10.0, 60.0, 20.0), (0.6, 0.0, 0.8))
EXAMPLES = {
    "direct": {"offset": 4.0},
    "gear": {"ratio": -2.5},
    "four_bar": {"crank": 20.0, "coupler": 60.0, "rocker": 30.0, "ground": 60.0, "shaft_zero": 90.0},
    "slider_crank": {"crank": 20.0, "coupler": 15.0},
    "push_rod": {
        "shaft_at": (0.0, 0.0, 0.0),
        "shaft_axis": (0.0, 0.0, 1.0),
        "horn_ball": (20.0, 0.0, 5.0),
        "joint_ball": (20.0, 70.0, 0.0),
    },
    "differential": {"partner": "b", "sum": "pitch", "difference": "roll"},
    "nested_shafts": {
        "middle": "b",
        "inner": "c",
        "pan": "pan",
        "nod": "nod",
        "roll": "roll",
        "nod_ratio": 2.0,
        "roll_ratio": -1.5,
    },
}


@pytest.fixture(params=LINKAGES)
def linkage(request):
    return LINKAGES[request.param](**EXAMPLES[request.param])


def test_a_linkage_is_made_of_described_keys_and_cannot_be_changed(linkage):
    assert all(is_key(declared) for declared in fields(linkage))
    with pytest.raises((FrozenInstanceError, TypeError, AttributeError)):
        setattr(linkage, fields(linkage)[0].name, 1.0)
    assert not hasattr(linkage, "__dict__")
    assert linkage.problems(HINGE) == ()


def drives_of(linkage) -> int:
    return 1 + len(linkage.partner_keys)


@pytest.mark.parametrize("poses", [(), (1,), (5,), (3, 4)])
def test_answers_have_the_shape_of_the_shaft_angles(linkage, poses):
    n = drives_of(linkage)
    shape = (*poses, n)
    shaft = np.linspace(-30.0, 30.0, int(np.prod(shape))).reshape(shape)
    for answer in (linkage.position, linkage.transmission_angle):
        assert answer(shaft, HINGE).shape == shape
        assert answer(shaft, HINGE).dtype == np.float64
    assert linkage.rate(shaft, HINGE).shape == (shape if n == 1 else (*shape, n))


def test_a_linkage_names_as_many_joints_as_drives_and_its_mix_can_be_inverted(linkage):
    n = drives_of(linkage)
    assert len(linkage.joint_keys) == (0 if n == 1 else n)
    assert {*linkage.partner_keys, *linkage.joint_keys} <= {declared.name for declared in fields(linkage)}
    assert linkage.mix().shape == (n, n)
    assert abs(np.linalg.det(linkage.mix())) > 1e-3


def test_several_shafts_move_their_joints_by_the_mix_and_its_rate_is_the_slope(linkage):
    n = drives_of(linkage)
    shaft = np.random.default_rng(4).uniform(-30.0, 30.0, (6, n))
    step = 1e-4 * np.eye(n)
    ahead, behind = (linkage.position(shaft[:, None] + way * step, HINGE) for way in (1, -1))
    slope = np.swapaxes(ahead - behind, -1, -2) / 2e-4
    rate = linkage.rate(shaft, HINGE)
    np.testing.assert_allclose(rate if n > 1 else rate[..., None], slope, rtol=1e-6, atol=1e-8)
    if n > 1:
        np.testing.assert_allclose(linkage.position(shaft, HINGE), shaft @ linkage.mix().T, atol=1e-12)


def test_a_batch_answers_as_its_poses_do_one_by_one(linkage):
    shaft = np.linspace(-40.0, 40.0, 11 * drives_of(linkage)).reshape(11, -1)
    for answer in (linkage.position, linkage.rate, linkage.transmission_angle):
        one_by_one = np.stack([answer(row, HINGE) for row in shaft])
        np.testing.assert_allclose(answer(shaft, HINGE), one_by_one, rtol=1e-13, atol=1e-13)


def test_no_answer_changes_the_shaft_angles_it_was_given(linkage):
    shaft = np.linspace(-40.0, 40.0, 11 * drives_of(linkage)).reshape(11, -1)
    before = shaft.copy()
    for answer in (linkage.position, linkage.rate, linkage.transmission_angle):
        answer(shaft, HINGE)[:] = 7.0
    np.testing.assert_array_equal(shaft, before)


def test_a_linkage_has_a_position_up_to_both_ends_of_the_angles_at_which_it_closes(linkage):
    start, end = linkage.closes(HINGE)
    if np.isinf(end):
        far = np.array([[-720.0], [720.0]]) * np.ones(drives_of(linkage))
        assert np.isfinite(linkage.position(far, HINGE)).all()
        return
    assert start <= 0.0 <= end
    assert np.isfinite(linkage.position(np.array([start, end]), HINGE)).all()


def test_a_linkage_in_place_gives_its_positions_and_can_be_sent_to_another_process(linkage):
    n = drives_of(linkage)
    shaft = np.linspace(-40.0, 40.0, 5 * n).reshape(5, n)
    in_place = pickle.loads(pickle.dumps(linkage.in_place(HINGE)))
    np.testing.assert_array_equal(in_place(shaft), linkage.position(shaft, HINGE))


@pytest.mark.parametrize("position", [-12.5, 8.0])
def test_with_another_zero_every_position_is_as_much_less(linkage, position):
    keys = linkage.zero_at(position, HINGE)
    if drives_of(linkage) > 1:
        assert keys is None
        return
    shaft = np.linspace(-25.0, 25.0, 21)
    moved = replace(linkage, **keys)
    assert moved.problems(HINGE) == ()
    assert abs(moved.position(shaft, HINGE) - (linkage.position(shaft, HINGE) - position)).max() < 1e-10


def moved_by(name: str) -> set[str]:
    """The units of the joints that the rules let a linkage move: deg of a turn, mm of a slide."""
    keys = {**EXAMPLES[name]}
    table = ", ".join(f"{key} = {json.dumps(value)}" for key, value in keys.items())
    text = (
        'format = 1\nname = "One"\nservos.s = {{}}\nlinks.a = {{}}\nlinks.b = {{}}\n[joints.j]\ntype = "{kind}"\n'
        'parent = "a"\nchild = "b"\naxis = [0, 0, 1]\n[drives.d]\nservo = "s"\njoint = "j"\naddress = 1\n'
        f'linkage = {{{{type = "{name}", {table}}}}}\n'
    )
    units = set[str]()
    for kind, unit in (("revolute", "deg"), ("prismatic", "mm")):
        with suppress(posekit.PosekitError):
            posekit.read({"prop.toml": text.format(kind=kind).encode()})
            units.add(unit)
    return units


@pytest.mark.parametrize("name", [name for name, kind in LINKAGES.items() if not kind.partner_keys])
def test_what_shifts_the_joint_by_as_much_as_it_grows_counts_in_the_unit_of_the_joint(name):
    hinge = Hinge((0.0, 0.0, 0.0), (0.0, 0.0, 1.0))
    linkage, shaft, shifted = LINKAGES[name](**EXAMPLES[name]), np.linspace(-20.0, 20.0, 9), 0
    for declared in fields(linkage):
        given = getattr(linkage, declared.name)
        if isinstance(given, (str, tuple)):
            continue
        more = replace(linkage, **{declared.name: (given or 0.0) + 0.5})
        less = replace(linkage, **{declared.name: (given or 0.0) - 0.5})
        shift = more.position(shaft, hinge) - less.position(shaft, hinge)
        if np.allclose(np.abs(shift), 1.0, atol=1e-9):
            shifted += 1
            assert set(declared.metadata["unit"].split(" or ")) == moved_by(name), declared.name
    assert shifted == (name != "push_rod")  # whose zero is where its balls are
