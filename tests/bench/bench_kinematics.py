"""Forward kinematics per pose: posekit's batch against pinocchio called from Python, in one run. Prints ratios.

    python tests/bench/bench_kinematics.py

pinocchio computes every link placement (forwardKinematics, updateFramePlacements); reading them out as
matrices is timed apart, because posekit's result already is an array of them.
"""

from __future__ import annotations

import sys
import time
import timeit
from collections.abc import Callable
from pathlib import Path

import numpy as np

import posekit
from posekit.mechanism.joints import mechanism_of

ROOT = Path(__file__).parent.parent.parent
BATCHES = (1, 100, 5000)
REPEATS = 7


def best(work: Callable[[], object], rounds: int) -> float:
    """Seconds of one round: the best of some repeats, which other load disturbs least."""
    return min(timeit.repeat(work, number=rounds, repeat=REPEATS, timer=time.process_time)) / rounds


def main() -> None:
    """Print the table."""
    import pinocchio

    sys.path.insert(0, str(ROOT / "tests" / "reference"))
    from pinocchio_trees import urdf_of

    prop = posekit.load(ROOT / "models" / "heron")
    model = pinocchio.buildModelFromXML(urdf_of(prop))
    data = model.createData()
    frames = [model.getFrameId(link.name, pinocchio.FrameType.BODY) for link in prop.links]
    configuration = pinocchio.randomConfiguration(model)

    def compute() -> None:
        pinocchio.forwardKinematics(model, data, configuration)
        pinocchio.updateFramePlacements(model, data)

    def compute_and_read() -> None:
        compute()
        for frame in frames:
            data.oMf[frame].homogeneous  # noqa: B018  the read itself is what is timed

    computed, read = best(compute, 2000), best(compute_and_read, 500)
    links, joints = len(prop.links), len(prop.joints)
    print(f"heron: {links} links, {joints} joints; pinocchio {pinocchio.__version__}, NumPy {np.__version__}")
    print(f"pinocchio per pose: computed {computed * 1e6:.2f} us, with matrices read {read * 1e6:.2f} us")
    print(f"{'P':>6} {'posekit us/pose':>16} {'/ computed':>11} {'/ with matrices':>16}")
    for P in BATCHES:
        positions = np.random.default_rng(1).uniform(-60, 60, (P, joints))
        ours = best(lambda positions=positions: posekit.forward(prop, positions), max(1, 2000 // P)) / P
        print(f"{P:>6} {ours * 1e6:>16.2f} {ours / computed:>11.2f} {ours / read:>16.2f}")
    one_pose(prop)


def one_pose(prop: posekit.Prop) -> None:
    """Print what a pose costs, values to findings, with the mechanism held and found anew."""
    values = [drive.rest_value for drive in prop.drives]
    held = mechanism_of(prop)
    anew_s = best(lambda: posekit.pose_at(prop, values), 20)
    held_s = best(lambda: posekit.pose_at(prop, values, mechanism=held), 20)
    print(
        f"one pose of {len(prop.drives)} drives: {held_s * 1e6:.0f} us, {held_s / anew_s:.2f} of what it takes "
        f"to find the mechanism each time"
    )


if __name__ == "__main__":
    main()
