"""Where a joint counts from does not show: every value of every drive gives the picture it gave."""

from __future__ import annotations

import numpy as np
import pytest

import posekit
from posekit.arrays import Array
from posekit.authoring.add import set_linkage
from posekit.authoring.zero import move_zero
from posekit.linkage import LINKAGES
from tests.authoring.trees import random_prop
from tests.conftest import CASES, DEMO_PROPS, IN_A_PAGE, ROOT, demo_prop

STAYS_MM = 1e-9


def links_at_values(prop: posekit.Prop) -> Array:
    """world_from_link (P, L, 4, 4) at some values of all drives, their ends among them."""
    random = np.random.default_rng(1)
    full = np.array([drive.full_scale for drive in prop.drives])
    values = np.rint(np.vstack([random.random((20, len(full))) * full, 0 * full, full]))
    return posekit.forward(prop, posekit.positions(prop, posekit.pulses(prop, values)))


@pytest.mark.parametrize("name", [*DEMO_PROPS, "every_key"])
def test_a_prop_answers_its_channels_as_before(name: str) -> None:
    """But for joints that several drives move, whose linkage has no key for it."""
    file = ROOT / "models" / name if name in DEMO_PROPS else CASES / "valid" / "every_key.toml"
    prop = posekit.load(file)
    coupled = {getattr(d.linkage, key) for d in prop.drives for key in d.linkage.joint_keys}
    driven = {d.joint for d in prop.drives} - coupled
    before = links_at_values(prop)
    for joint in prop.joints[:: 3 if len(prop.joints) > 12 else 1]:
        if joint.name in coupled:
            with pytest.raises(posekit.PosekitError, match="has no key for where it is 0"):
                move_zero(prop, joint.name, 5.0)
            continue
        if joint.name not in driven and joint.follow is None:
            continue
        moved = move_zero(prop, joint.name, 7.25)
        assert abs(links_at_values(moved) - before).max() < STAYS_MM
        if joint.stops:
            new = next(each for each in moved.joints if each.name == joint.name)
            assert new.stops == pytest.approx(np.subtract(joint.stops, 7.25), abs=1e-12)
        there = move_zero(moved, joint.name, -7.25)
        assert abs(links_at_values(there) - before).max() < STAYS_MM


@pytest.mark.parametrize("seed", range(2 if IN_A_PAGE else 8))
def test_a_joint_without_a_drive_stands_as_it_stood_at_that_position(seed: int) -> None:
    prop = random_prop(seed)
    random = np.random.default_rng(seed)
    for j, joint in enumerate(prop.joints):
        if any(drive.joint == joint.name for drive in prop.drives):
            drive = next(drive for drive in prop.drives if drive.joint == joint.name)
            prop = set_linkage(prop, drive.name, {"type": "gear", "ratio": 1.5, "offset": 3.0})
        at = float(random.uniform(-40, 40).__round__(1))
        moved = move_zero(prop, joint.name, at)
        positions = random.uniform(-50, 50, (5, len(prop.joints)))
        less = positions.copy()
        less[:, j] -= at
        assert abs(posekit.forward(moved, less) - posekit.forward(prop, positions)).max() < STAYS_MM


def test_numbers_stay_short_and_keys_that_were_left_out_are_written() -> None:
    text = (CASES / "valid" / "arm.toml").read_text()
    prop = posekit.read({"prop.toml": text.encode()})
    moved = move_zero(prop, "shoulder", 12.5)
    changed = [line for line in moved.text.splitlines() if line not in text.splitlines()]
    assert changed == ["stops = [-92.5, 67.5]", "turn = [0, 12.5, 0]", "linkage = {offset = -12.5}"]


def test_a_zero_that_a_linkage_cannot_count_from_is_refused() -> None:
    prop = demo_prop("heron")
    with pytest.raises(posekit.PosekitError, match="the other of the two ways it closes"):
        move_zero(prop, "wing_left", 170.0)
    with pytest.raises(posekit.PosekitError, match="is fixed, so it has no other position"):
        move_zero(prop, "standing", 1.0)
    with pytest.raises(posekit.PosekitError, match="a finite number is needed"):
        move_zero(prop, "wing_left", float("nan"))


def test_every_linkage_of_one_drive_has_a_zero() -> None:
    """One that has none would leave its joints where they are counted from."""
    assert all(kind.partner_keys or hasattr(kind, "zero_at") for kind in LINKAGES.values())
