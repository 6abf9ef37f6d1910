"""Props of random trees, and what of them must stay in its place in the world."""

from __future__ import annotations

from functools import cache

import numpy as np

import posekit
from posekit.arrays import Array
from posekit.authoring.contents import at_zero, vectors_of
from posekit.prop.placing import joints_moved
from posekit.transforms import placement


@cache  # several laws are tried on each
def random_prop(seed: int, links: int = 6) -> posekit.Prop:
    """A prop of so many links in a random tree, with shapes, all kinds of joints and a push-rod where one closes."""
    random = np.random.default_rng(seed)

    def three(spread: float) -> list[float]:
        return random.uniform(-spread, spread, 3).round(int(random.integers(0, 4))).tolist()

    def direction() -> list[float]:
        return random.uniform(0.2, 3, 3).round(2).tolist()

    rows = ["format = 1", 'name = "Tree"', "[servos.s]"]
    for link in range(links):
        rows.append(f"[links.l{link}]   # part {link}")
        for _ in range(int(random.integers(0, 3))):
            rows += [f"[[links.l{link}.shapes]]", "box = [1, 2, 3]"]
            rows += [f"at = {three(300)}  # mm"] * bool(random.integers(0, 2))
            rows += [f"turn = {three(180)}"] * bool(random.integers(0, 2))
    kinds = ["fixed", *random.choice(["revolute", "prismatic", "fixed"], links).tolist()]
    for link in range(1, links):
        parent = int(random.integers(0, link))
        rows += [f"\n# joint {link}", f"[joints.j{link}]", f'type = "{kinds[link]}"']
        rows += [f'parent = "l{parent}"', f'child = "l{link}"', f"at = {three(300)}", f"axis = {direction()}"]
        rows += [f"turn = {three(180)}"] * bool(random.integers(0, 2))
        # Where a turn about y is a right angle, roll and yaw are one.
        rows += ["turn = [20, 90, -130]"] * (rows[-1].startswith("axis") and bool(random.integers(0, 2)))
    rows += [f"[loads.hat]\nlink = 'l{random.integers(0, links)}'\nmass = 5\nat = {three(90)}"]
    one, other = random.choice(links, 2, replace=False).tolist()
    rows += [f"[springs.coil]\nlink = 'l{one}'\nat = {three(90)}\nother = 'l{other}'"]
    rows += [f"other_at = {three(90)}\nrate = 0.1"]
    base = "\n".join(rows) + "\n"
    for link in range(1, links):
        if kinds[link] != "fixed":
            drive = f'[drives.d{link}]\nservo = "s"\njoint = "j{link}"\naddress = {link}\n'
            rod = f'[drives.d{link}.linkage]\ntype = "push_rod"\nshaft_at = {three(50)}\nshaft_axis = {direction()}\n'
            rod += f"horn_ball = {three(80)}\njoint_ball = {three(80)}\n"
            base = next(text for text in (base + drive + rod, base + drive) if is_valid(text))
    return posekit.read({"prop.toml": base.encode()})


def is_valid(text: str) -> bool:
    try:
        posekit.read({"prop.toml": text.encode()})
    except posekit.PosekitError:
        return False
    return True


def shapes_in_the_world(prop: posekit.Prop) -> dict[tuple[str, int], Array]:
    """Placement (4, 4) of every shape at the zero pose."""
    world = at_zero(prop)
    return {
        (link.name, i): world[link.name] @ placement(shape.at, shape.turn)
        for link in prop.links
        for i, shape in enumerate(link.shapes)
    }


def rods_in_the_world(prop: posekit.Prop) -> Array:
    """Points [mm] and directions (n, 3) of all linkages at the zero pose."""
    world = at_zero(prop)
    joint_of = {joint.name: joint for joint in (*prop.joints, *prop.fixed)}
    found = [
        world[joint_of[name].parent] @ [*value, float(is_point)]
        for drive in prop.drives
        for _, name in joints_moved(drive)
        for _, value, is_point in vectors_of(drive.linkage)
    ]
    return np.array(found).reshape(-1, 4)[:, :3]


def weights_in_the_world(prop: posekit.Prop) -> Array:
    """Points [mm] (n, 3) of loads and ends of springs at the zero pose."""
    world = at_zero(prop)
    points = [(load.link, load.at) for load in prop.loads]
    for spring in prop.springs:
        points += [(spring.link, spring.at), (spring.other, spring.other_at)]
    return np.array([(world[link] @ [*at, 1.0])[:3] for link, at in points]).reshape(-1, 3)


def off_mm(before: posekit.Prop, after: posekit.Prop) -> float:
    """How far what must stay has moved, corners of shapes of 100 mm, points of linkages, loads and springs."""
    corners = np.array([[*corner, 1.0] for corner in (np.eye(3) * 100).tolist()] + [[0, 0, 0, 1.0]])
    old, new = shapes_in_the_world(before), shapes_in_the_world(after)
    assert list(old) == list(new)
    moved = [np.abs((new[key] - old[key]) @ corners.T).max() for key in old]
    rods = np.abs(rods_in_the_world(after) - rods_in_the_world(before))
    weights = np.abs(weights_in_the_world(after) - weights_in_the_world(before))
    return float(max([*moved, rods.max(initial=0.0), weights.max(initial=0.0), 0.0]))
