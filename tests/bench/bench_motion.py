"""An hour of a 44 Hz show on 24 drives: seconds of computing per hour of show, and against ruckig.

    python tests/bench/bench_motion.py

Ruckig (compiled code, max_jerk = inf) is called frame by frame and drive by drive, which is how it is used with a
moving target. It is timed on a sample of drives and frames of the same show, and the time for the whole show is
that of the sample times the ratio of their frames; the output says so.
"""

from __future__ import annotations

import math
import resource
import time

import numpy as np

from posekit.motion import Limits, Motion, follow_shafts, segments
from posekit.motion.deadband import answered

SECONDS, RATE, DRIVES = 3600, 44.0, 24
SAMPLE_DRIVES, SAMPLE_FRAMES = 4, 5000
SPEED, SLOPE = 180.0, 700.0


def cues(bits: int, rng: np.random.Generator) -> np.ndarray:
    """Shaft targets of fades of 0.3 to 6 s with holds of up to 4 s between them, rounded to values."""
    times = np.arange(int(SECONDS * RATE)) / RATE
    full = 2**bits - 1
    columns = []
    for _ in range(DRIVES):
        fade, hold = rng.uniform(0.3, 6.0, SECONDS), rng.uniform(0.0, 4.0, SECONDS)
        knots = np.cumsum(np.column_stack([fade, hold]).ravel())
        looks = np.repeat(rng.integers(0, 256, SECONDS), 2) * (full // 255)
        columns.append(np.round(np.interp(times, knots, looks)) * (180.0 / full) - 90.0)
    return np.column_stack(columns)


def live(rng: np.random.Generator) -> np.ndarray:
    """Shaft targets that never stand: what a hand on a controller records in 16 bit."""
    times = np.arange(int(SECONDS * RATE))[:, None] / RATE
    pace, phase = rng.uniform(0.2, 3.0, DRIVES), rng.uniform(0, 6, DRIVES)
    wave = 20000 * np.sin(times * pace + phase) + 5000 * np.sin(times * pace * 2.3)
    return np.round(32768 + wave) * (180.0 / 65535) - 90.0


def timed(targets: np.ndarray) -> tuple[Motion, float]:
    """The motion, and the seconds it took."""
    begin = time.perf_counter()
    limits = Limits.of([SPEED] * DRIVES, [SLOPE] * DRIVES)
    motion = follow_shafts(np.arange(len(targets)) / RATE, targets, limits)
    return motion, time.perf_counter() - begin


def ruckig_seconds(targets: np.ndarray, motion: Motion) -> tuple[float, float, int]:
    """Seconds that ruckig would need for the whole show, from a sample; largest difference [deg]; its refusals.

    Ruckig finds no trajectory for a few states that brake exactly into the target; it is asked again with the
    target shifted by a millionth of a degree.
    """
    import ruckig

    planner, request = ruckig.Ruckig(1), ruckig.InputParameter(1)
    trajectory = ruckig.Trajectory(1)
    request.current_acceleration = request.target_velocity = request.target_acceleration = [0.0]
    request.max_velocity, request.max_acceleration, request.max_jerk = [SPEED], [SLOPE], [math.inf]
    reached = np.empty((SAMPLE_FRAMES, SAMPLE_DRIVES))
    refused = 0
    begin = time.perf_counter()
    for d in range(SAMPLE_DRIVES):
        position, velocity = [targets[0, d]], [0.0]
        for k in range(SAMPLE_FRAMES):
            reached[k, d] = position[0]
            request.current_position, request.current_velocity = position, velocity
            request.target_position = [targets[k, d]]
            try:
                planner.calculate(request, trajectory)
            except ruckig.RuckigError:
                refused += 1
                request.target_position = [targets[k, d] + 1e-6]
                planner.calculate(request, trajectory)
            position, velocity, _ = trajectory.at_time(1.0 / RATE)
            velocity = [min(max(velocity[0], -SPEED), SPEED)]
    took = time.perf_counter() - begin
    ours = motion.position(np.arange(SAMPLE_FRAMES) / RATE)[:, :SAMPLE_DRIVES]
    share = targets.size / (SAMPLE_DRIVES * SAMPLE_FRAMES)
    return took * share, float(np.abs(ours - reached).max()), refused


def main() -> None:
    """Print the table."""
    rng = np.random.default_rng(44)
    shows = {"cues, 8 bit": cues(8, rng), "cues, 16 bit": cues(16, rng), "live, 16 bit": live(rng)}
    print(
        f"{SECONDS} s of show at {RATE:g} Hz on {DRIVES} drives, limits {SPEED:g} deg/s and {SLOPE:g} deg/s2"
    )
    print(f"ruckig: {SAMPLE_FRAMES} frames of {SAMPLE_DRIVES} drives timed, times the ratio of frames")
    head = (
        "show",
        "new targets",
        "follow s/h",
        "ruckig s/h",
        "ratio",
        "differ deg",
        "refused",
        "sample s",
        "segments s",
    )
    print("".join(f"{name:>13}" for name in head))
    for name, targets in shows.items():
        motion, took = timed(targets)
        other, differ, refused = ruckig_seconds(targets, motion)
        begin = time.perf_counter()
        motion.at(np.arange(len(targets)) / RATE)
        sampled = time.perf_counter() - begin
        begin = time.perf_counter()
        segments(motion)
        cut = time.perf_counter() - begin
        print(
            f"{name:>13}{len(motion.since):13d}{took:13.2f}{other:13.1f}{other / took:13.1f}{differ:13.1e}"
            f"{refused:13d}{sampled:13.2f}{cut:13.2f}"
        )
    begin = time.perf_counter()
    answered(1500 + shows["cues, 16 bit"] * (2000 / 180), np.full(DRIVES, 4.0))
    print(f"deadband of 4 us over the 16-bit cues: {time.perf_counter() - begin:.2f} s")
    print(
        f"largest memory of this process: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MiB"
    )


if __name__ == "__main__":
    main()
