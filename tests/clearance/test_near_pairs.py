"""What is told of one pose: the near pairs, in the frame of the world."""

from __future__ import annotations

import json

import numpy as np
import pytest

import posekit
from posekit.clearance import near_pairs, separations, watch
from posekit.prop.model import Shape
from posekit.shape import Box, Capsule, Cylinder, Sphere
from tests.conftest import IN_A_PAGE, SEEDS


@pytest.fixture
def placed(rotations):
    """World poses (2, 4, 4) of links a and b that hold b at a place of a's frame, a itself anywhere."""

    def place(at, turn=None):
        world = np.tile(np.eye(4), (2, 1, 1))
        world[0, :3, :3] = rotations(np.random.default_rng(31), 1)[0]
        world[0, :3, 3] = (100.0, -200.0, 300.0)
        a_from_b = np.eye(4)
        a_from_b[:3, 3] = at
        a_from_b[:3, :3] = np.eye(3) if turn is None else turn
        world[1] = world[0] @ a_from_b
        return world

    return place


def test_a_near_pair_is_told_with_its_points_and_normal_in_the_world(two_links, placed):
    world = placed((0.0, 0.0, 40.0))
    [near] = near_pairs(watch(two_links(Box(size=(20.0, 20.0, 20.0)), Sphere(radius=10.0))), world)
    assert near.pair == ("a", "b")
    assert near.mm == pytest.approx(20.0, abs=1e-9)
    assert near.depth_mm == 0.0
    on_a, on_b = (world[0] @ [0.0, 0.0, z, 1.0] for z in (10.0, 30.0))
    np.testing.assert_allclose(near.point_a, on_a[:3], rtol=0.0, atol=1e-9)
    np.testing.assert_allclose(near.point_b, on_b[:3], rtol=0.0, atol=1e-9)
    np.testing.assert_allclose(near.normal, -world[0, :3, 2], rtol=0.0, atol=1e-12)


def test_an_overlap_is_told_with_its_depth_and_the_way_out(two_links, placed):
    world = placed((0.0, 0.0, 17.0))
    [near] = near_pairs(watch(two_links(Box(size=(20.0, 20.0, 20.0)), Sphere(radius=10.0))), world)
    assert near.mm == 0.0
    assert near.depth_mm == pytest.approx(3.0, abs=1e-9)
    np.testing.assert_allclose(near.normal, -world[0, :3, 2], rtol=0.0, atol=1e-9)
    np.testing.assert_allclose(near.point_a, (world[0] @ [0.0, 0.0, 10.0, 1.0])[:3], rtol=0.0, atol=1e-9)
    np.testing.assert_allclose(near.point_b, (world[0] @ [0.0, 0.0, 7.0, 1.0])[:3], rtol=0.0, atol=1e-9)


def test_only_pairs_within_the_distance_are_told_and_the_nearest_comes_first(two_links):
    prop = two_links([Shape(form=Sphere(radius=1.0))], [Shape(form=Capsule(radius=1.0, length=4.0))])
    world = np.tile(np.eye(4), (2, 1, 1))
    world[1, 0, 3] = 7.0
    watched = watch(prop)
    assert near_pairs(watched, world, within_mm=4.9) == []
    assert [near.mm for near in near_pairs(watched, world, within_mm=5.1)] == [pytest.approx(5.0, abs=1e-9)]


def test_pairs_of_a_demo_prop_come_sorted_and_complete(demo):
    watched = watch(demo)
    rng = np.random.default_rng(17)
    full = [drive.full_scale for drive in demo.drives]
    position = posekit.positions(demo, posekit.pulses(demo, rng.integers(0, full, (20, len(full)))))
    world_from_link = posekit.forward(demo, position)
    everywhere = separations(watched, world_from_link)
    names = watched.pairs
    for p, world in enumerate(world_from_link):
        told = near_pairs(watched, world, within_mm=30.0)
        expected = {names[k]: everywhere.upper[p, k] for k in np.flatnonzero(everywhere.upper[p] <= 30.0)}
        assert {near.pair for near in told} == set(expected)
        assert [near.mm for near in told] == sorted(near.mm for near in told)
        for near in told:
            assert near.mm == pytest.approx(expected[near.pair], abs=2e-6)
            assert (near.depth_mm > 0.0) == (near.mm == 0.0)
            between = np.subtract(near.point_a, near.point_b) @ near.normal
            assert between == pytest.approx(near.mm - near.depth_mm, abs=1e-5)


def test_what_is_told_can_be_written_as_json(two_links):
    world = np.tile(np.eye(4), (2, 1, 1))
    world[1, 0, 3] = 5.0
    [near] = near_pairs(watch(two_links(Sphere(radius=1.0), Sphere(radius=2.0))), world)
    assert json.loads(json.dumps(near.as_dict())) == {
        "pair": ["a", "b"], "mm": 2.0, "depth_mm": 0.0, "points": [[1.0, 0.0, 0.0], [3.0, 0.0, 0.0]],
        "normal": [-1.0, 0.0, 0.0],
    }  # fmt: skip


@pytest.mark.parametrize("seed", SEEDS)
def test_no_tolerance_decides_whether_parts_overlap(two_links, seed):
    # Boxes that lie true across, as parts of figures do: there the way to the overlap is longest.
    rng = np.random.default_rng(seed)
    watched = watch(two_links(Box(size=(160.0, 120.0, 60.0)), Box(size=(70.0, 70.0, 8.0))))
    world = np.tile(np.eye(4), (2, 1, 1))
    for _ in range(60):
        angle = rng.uniform(-np.pi, np.pi)
        world[1, [0, 0, 2, 2], [0, 2, 0, 2]] = np.cos(angle), np.sin(angle), -np.sin(angle), np.cos(angle)
        world[1, [0, 2], 3] = rng.uniform(50.0, 110.0), rng.uniform(-40.0, 40.0)
        [exact] = near_pairs(watched, world)
        [told] = near_pairs(watched, world, tolerance_mm=1e-3)
        assert (told.mm == 0.0) == (exact.mm == 0.0) or max(exact.mm, exact.depth_mm) < 1e-3


@pytest.mark.parametrize("form", [Capsule(radius=8.0, length=50.0), Sphere(radius=17.0)])
def test_no_tolerance_decides_whether_round_parts_overlap(two_links, rotations, form):
    """Shapes with a radius, 4 um deep in a cylinder: less than the page's tolerance, and their cores are far apart."""
    rng = np.random.default_rng(1)
    watched = watch(two_links(form, Cylinder(radius=12.0, length=50.0)))
    world = np.tile(np.eye(4), (2, 1, 1))
    met, tries = 0, 10 if IN_A_PAGE else 60
    for turn in rotations(rng, tries):
        way = rng.normal(size=3)
        way /= np.linalg.norm(way)
        world[1, :3, :3], world[1, :3, 3] = turn, 100.0 * way
        for _ in range(40):
            [exact] = near_pairs(watched, world, tolerance_mm=1e-9)
            gap = exact.mm - exact.depth_mm + 0.004
            if abs(gap) < 1e-3:
                met += 1
                [told] = near_pairs(watched, world, tolerance_mm=0.01)
                assert exact.depth_mm > 0.0 and told.mm == 0.0
                break
            world[1, :3, 3] -= 0.9 * gap * way
    assert met > 0.8 * tries
