"""The deadband of a servo: changes of pulse that it does not answer.

A servo holds still until the pulse differs by the deadband or more from the pulse it last answered (common
practice; no standard says so). So steps smaller than the deadband neither move it one by one nor get lost:
once they add up to the deadband it moves, all at once, and what it answers is never a deadband or more from
what is asked.
"""

from __future__ import annotations

import numpy as np

from posekit.arrays import Array


def answered(pulses_us: Array, deadband_us: Array) -> Array:
    """The pulse [us] each servo answers at each frame; (T, D) and deadbands (D,) to (T, D)."""
    answers = np.array(pulses_us, dtype=float)
    for d, deadband in enumerate(deadband_us):
        steps = np.abs(np.diff(answers[:, d]))
        if np.all((steps == 0.0) | (steps >= deadband)):
            continue  # each step is answered by itself
        answers[:, d] = _held(answers[:, d], float(deadband))
    return answers


def _held(pulses_us: Array, deadband_us: float) -> Array:
    # Each answer hangs on the one before, so this walks; only over the changes, in plain floats.
    changes = np.concatenate([[0], np.flatnonzero(np.diff(pulses_us)) + 1])
    held = float(pulses_us[0])
    answers = []
    for pulse in pulses_us[changes].tolist():
        if abs(pulse - held) >= deadband_us:
            held = pulse
        answers.append(held)
    return np.repeat(answers, np.diff(np.append(changes, len(pulses_us))))
