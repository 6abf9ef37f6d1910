"""Torques of a figure in motion: a batch by posekit against pinocchio's rnea called frame by frame, in one run.

python -m tests.bench.bench_statics
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

import posekit
from posekit.statics.burden import burden_of
from posekit.statics.dynamics import moving_torques
from tests.conftest import DEMO_PROPS, ROOT
from tests.reference.pinocchio_trees import configuration
from tests.statics.weighed import pinocchio_model, si

FRAMES = 5000


def best_us(work: Callable[[], object]) -> float:
    """Microseconds a frame, the best of five."""
    took = []
    for _ in range(5):
        begin = time.perf_counter()
        work()
        took.append(time.perf_counter() - begin)
    return 1e6 * min(took) / FRAMES


def of_one(name: str) -> str:
    """Microseconds a frame of a demo prop, and their ratio."""
    import pinocchio

    prop = posekit.load(ROOT / "models" / name)
    burden, rng = burden_of(prop), np.random.default_rng(0)
    position, speed, more = (rng.uniform(-40.0, 40.0, (FRAMES, len(prop.joints))) for _ in range(3))
    model = pinocchio_model(prop, burden)
    data = model.createData()
    q = [configuration(model, si(prop, row)) for row in position]
    v, a = (rng.normal(size=(FRAMES, model.nv)) for _ in range(2))
    ours = best_us(lambda: moving_torques(prop, position, speed, more, burden))
    theirs = best_us(lambda: [pinocchio.rnea(model, data, q[i], v[i], a[i]).copy() for i in range(FRAMES)])
    return f"{name}: posekit {ours:.1f} us a frame, rnea {theirs:.1f} us, {theirs / ours:.2f} times as quick"


if __name__ == "__main__":
    for each in DEMO_PROPS:
        print(of_one(each))
