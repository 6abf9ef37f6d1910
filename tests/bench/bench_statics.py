"""Torques of a figure in motion: a batch by posekit against pinocchio's rnea called frame by frame, in one run.

First of random poses, all of them in motion; then of the shows of the demo props, at every instant that is looked at.
There the torques alone come first, of positions, speeds and accelerations that both are given; then all that posekit
does of a show against rnea's torques alone: it finds those by shafts and linkages, the torques at rest besides, and
brings both to the shafts.

python -m tests.bench.bench_statics
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from functools import partial
from typing import Any

import numpy as np

import posekit
from posekit.arrays import Array
from posekit.mechanism.joints import solve
from posekit.motion.follow import Motion, follow
from posekit.motion.segments import segments
from posekit.prop.folder import SHOWS, in_folder
from posekit.statics.burden import Burden, burden_of
from posekit.statics.dynamics import moving_torques
from posekit.statics.over_show import joint_motion, shaft_rates, torques_over
from posekit.stream.reader import read_show
from tests.conftest import DEMO_PROPS, ROOT
from tests.reference.pinocchio_trees import configuration, of_joints
from tests.statics.weighed import pinocchio_model, si

FRAMES = 5000


def best_us(work: Callable[[], object], frames: int = FRAMES) -> float:
    """Microseconds of processor time a frame, the best of fifteen: other work of the machine counts little then."""
    took = []
    for _ in range(15):
        begin = time.process_time()
        work()
        took.append(time.process_time() - begin)
    return 1e6 * min(took) / frames


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


def of_shows(name: str) -> Iterator[str]:
    """Microseconds an instant of each show of a demo prop, and their ratios: of the torques alone, and of all of it."""
    prop = posekit.load(ROOT / "models" / name)
    burden = burden_of(prop)
    model = pinocchio_model(prop, burden)
    data = model.createData()
    for show, path in in_folder(prop.files, SHOWS).items():
        read = read_show(prop, prop.files[path], path)
        motion = follow(prop, read.times, read.values)
        over = torques_over(prop, motion, burden)
        count = len(over.times)
        rests = 1.0 - np.any(np.diff(np.hstack([over.torque, over.speed]), axis=0) != 0.0, axis=1).mean()
        position, speed, more = _of_joints(prop, motion, burden, over.times)
        q = [configuration(model, si(prop, row)) for row in position]
        v, a = np.zeros((2, count, model.nv))
        names = [joint.name for joint in prop.joints]
        for to, each in ((v, speed), (a, more)):
            to[:, of_joints(model, names)] = each * burden.si
        alone = best_us(partial(moving_torques, prop, position, speed, more, burden), count)
        whole = best_us(partial(torques_over, prop, motion, burden), count)
        theirs = best_us(partial(_frame_by_frame, model, data, q, v, a), count)
        told = f"{name}, show {show}: {count} instants, {rests:.0%} at rest, rnea {theirs:.1f} us an instant"
        yield f"{told}; the torques alone {alone:.1f} us, {theirs / alone:.2f} times as quick"
        yield f"{told}; all of it {whole:.1f} us, {theirs / whole:.2f} times as quick"


def _of_joints(
    prop: posekit.Prop, motion: Motion, burden: Burden, times: Array
) -> tuple[Array, Array, Array]:
    """Positions, speeds and accelerations of the joints (T, J) at the instants of a show; 0 at dead points."""
    shaft, speed, gain = segments(motion).at(times, np.append(times[1:] == times[:-1], False))
    solved = solve(prop, shaft, burden.mechanism)
    rate = shaft_rates(burden, solved.held)
    going, gaining = joint_motion(burden, shaft, speed, gain, solved, rate)
    return (
        solved.position,
        np.nan_to_num(going, posinf=0.0, neginf=0.0),
        np.nan_to_num(gaining, posinf=0.0, neginf=0.0),
    )


def _frame_by_frame(model: Any, data: Any, q: list[Any], v: Array, a: Array) -> list[Any]:
    import pinocchio

    return [pinocchio.rnea(model, data, *each).copy() for each in zip(q, v, a, strict=True)]


if __name__ == "__main__":
    for each in DEMO_PROPS:
        print(of_one(each))
        for told in of_shows(each):
            print(told)
