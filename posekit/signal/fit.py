"""From measured pairs of pulse and shaft angle to a servo's `points`.

On the bench one sends a pulse, reads the angle off a protractor and notes the pair, once or several
times, in any order.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from posekit.arrays import Array, Truth
from posekit.errors import Finding, PosekitError, error, note, warning
from posekit.fields import LONGEST_PULSE_US, MOST_TURN_DEG
from posekit.signal.calibration import NEUTRAL_US
from posekit.text import PULSE_FIGURES, exact, plain

# Fewer pairs cannot outvote a wrong one.
ENOUGH = 5
# A reading off a protractor is good to about a degree (common practice): nearer to the line none is wrong.
READING_DEG = 1.0
# Modified z-score above which a value counts as an outlier (Iglewicz and Hoaglin 1993, from memory).
OUTLYING = 3.5
# Median absolute deviation to standard deviation, for a normal distribution.
DEVIATION_PER_MAD = 1.4826


@dataclass(frozen=True, slots=True)
class Fit:
    """What the bench says of a servo.

    `points` is ready for the prop file: pulses rise, angles rise or fall all the way. The straight line
    has `slope` [deg/us] and stands at `neutral_deg` at 1500 us. `residuals_deg` (n,) is how far each pair,
    in the order given, lies above the line; `outliers` are the rows left out of points and line.
    """

    points: tuple[tuple[float, float], ...]
    slope: float
    neutral_deg: float
    residuals_deg: Array
    outliers: tuple[int, ...]
    findings: tuple[Finding, ...]


def fit(measured: ArrayLike, subject: str = "points") -> Fit:
    """The fit of measured (us, degrees) pairs (n, 2); `subject` is what the findings speak of.

    The line is the one of least squares. Pairs at the same pulse count as their mean. Where the angle
    stands still or turns back, neighbours are made one point, their mean, until it does not.
    Raises PosekitError if the pairs give no line: not pairs of numbers, some `out_of_range`, a single pulse,
    or a shaft that does not turn.
    """
    pulse_us, shaft_deg = _pairs(measured, subject)
    outlying = _outlying(pulse_us, shaft_deg)
    kept_us, kept_deg = pulse_us[~outlying], shaft_deg[~outlying]
    curve = _means(kept_us, kept_deg)
    slope, neutral_deg = _line(kept_us, kept_deg) if len(curve) > 1 else (0.0, 0.0)
    points = _one_way(curve, np.sign(slope))
    if len(points) < 2:
        said = "the shaft does not turn with the pulse; measure again"
        raise PosekitError([error("no-turn", subject, said)])
    residuals = shaft_deg - (neutral_deg + slope * (pulse_us - NEUTRAL_US))
    outliers = tuple(int(row) for row in np.flatnonzero(outlying))
    findings = (
        *_too_few(len(pulse_us), subject),
        *(_outlier(row, pulse_us, shaft_deg, residuals, subject) for row in outliers),
        *_turns_back(curve, np.sign(slope), subject),
    )
    return Fit(points, slope, neutral_deg, residuals, outliers, findings)


def out_of_range(pulse_us: float, shaft_deg: float) -> str:
    """What is wrong with a measured pair and what would be right; nothing if it can be one."""
    if not 0.0 < pulse_us <= LONGEST_PULSE_US:
        return f"found a pulse of {exact(pulse_us)}; use more than 0 and at most {exact(LONGEST_PULSE_US)} µs"
    if not abs(shaft_deg) <= MOST_TURN_DEG:
        return f"found an angle of {exact(shaft_deg)}; use {exact(-MOST_TURN_DEG)} to {exact(MOST_TURN_DEG)} degrees"
    return ""


def _pairs(measured: ArrayLike, subject: str) -> tuple[Array, Array]:
    right = "give pairs of pulse [µs] and shaft angle [degrees] at two or more pulses"
    try:
        pairs = np.asarray(measured, dtype=np.float64)
    except (TypeError, ValueError) as problem:
        raise PosekitError([error("wrong-points", subject, f"not numbers ({problem}); {right}")]) from problem
    if pairs.size and (pairs.ndim != 2 or pairs.shape[1] != 2):
        raise PosekitError([error("wrong-points", subject, f"not pairs of numbers; {right}")])
    pairs = pairs.reshape(-1, 2)
    beyond = [
        (row, sentence) for row, pair in enumerate(pairs.tolist(), 1) if (sentence := out_of_range(*pair))
    ]
    if beyond:
        raise PosekitError(error("wrong-points", subject, f"pair {row}: {said}") for row, said in beyond)
    if len(np.unique(pairs[:, 0])) < 2:
        found = f"all {len(pairs)} pairs are at one pulse" if len(pairs) > 1 else f"pairs found: {len(pairs)}"
        raise PosekitError([error("too-few-points", subject, f"{found}; {right}")])
    return pairs[:, 0], pairs[:, 1]


def _outlying(pulse_us: Array, shaft_deg: Array) -> Truth:
    """True for each pair that lies far off the line on which the others agree."""
    if len(pulse_us) < ENOUGH:
        return np.zeros(len(pulse_us), dtype=np.bool_)
    # Theil and Sen: the median of all slopes between two pairs, which a quarter of wrong pairs does not move.
    first, second = np.triu_indices(len(pulse_us), k=1)
    apart = pulse_us[first] != pulse_us[second]
    first, second = first[apart], second[apart]
    slope = np.median((shaft_deg[second] - shaft_deg[first]) / (pulse_us[second] - pulse_us[first]))
    off = shaft_deg - slope * pulse_us
    off -= np.median(off)
    deviation = DEVIATION_PER_MAD * np.median(np.abs(off))
    outlying: Truth = np.abs(off) > max(OUTLYING * deviation, READING_DEG)
    return outlying


def _line(pulse_us: Array, shaft_deg: Array) -> tuple[float, float]:
    """Slope [deg/us] and angle at neutral [deg] of the line of least squares."""
    middle_us, middle_deg = pulse_us.mean(), shaft_deg.mean()
    from_middle = pulse_us - middle_us
    slope = float(from_middle @ (shaft_deg - middle_deg) / (from_middle @ from_middle))
    return slope, float(middle_deg + slope * (NEUTRAL_US - middle_us))


def _means(pulse_us: Array, shaft_deg: Array) -> list[tuple[float, float]]:
    """(us, degrees) with one pair a pulse, pulses rising."""
    pulses, rows, counts = np.unique(pulse_us, return_inverse=True, return_counts=True)
    means = np.bincount(rows, weights=shaft_deg) / counts
    return [(float(pulse), float(mean)) for pulse, mean in zip(pulses, means, strict=True)]


def _one_way(curve: list[tuple[float, float]], way: float) -> tuple[tuple[float, float], ...]:
    """`curve` with neighbours pooled until each angle is beyond the last one in the direction `way`."""
    pools: list[tuple[float, float, int]] = []  # mean pulse, mean angle, pairs in it
    for pulse, angle in curve:
        count = 1
        # Ends: a pool is taken out each time.
        while pools and way * (angle - pools[-1][1]) <= 0.0:
            last_pulse, last_angle, last_count = pools.pop()
            total = count + last_count
            pulse = (pulse * count + last_pulse * last_count) / total
            angle = (angle * count + last_angle * last_count) / total
            count = total
        pools.append((pulse, angle, count))
    return tuple((pulse, angle) for pulse, angle, _ in pools)


def _too_few(count: int, subject: str) -> Iterator[Finding]:
    if count < ENOUGH:
        said = f"{count} pairs are too few to show which one is wrong; measure {ENOUGH} or more"
        yield note("too-few-points", subject, said)


def _outlier(row: int, pulse_us: Array, shaft_deg: Array, residuals: Array, subject: str) -> Finding:
    said = (
        f"pair {row + 1}, {exact(shaft_deg[row])} degrees at {exact(pulse_us[row])} µs, lies "
        f"{residuals[row]:+.1f} degrees "
        "off the line of the others and is left out; measure it again"
    )
    return warning("outlier", subject, said)


def _turns_back(curve: list[tuple[float, float]], way: float, subject: str) -> Iterator[Finding]:
    """One finding for the worst place at which the angle goes against the slope."""
    steps = [(way * (after[1] - before[1]), before, after) for before, after in pairwise(curve)]
    backward = [step for step in steps if step[0] <= 0.0]
    if not backward:
        return
    worst, before, after = min(backward)
    place = f"from {plain(before[0], PULSE_FIGURES)} to {plain(after[0], PULSE_FIGURES)} µs"
    others = f" ({len(backward)} places in all, this is the worst)" if len(backward) > 1 else ""
    if worst == 0.0:
        yield note(
            "stands-still", subject, f"the shaft stands still {place}{others}; those points were merged"
        )
        return
    said = f"the shaft turns back by {-worst:.1f} degrees {place}{others}; those points were merged; measure again"
    yield warning("turns-back", subject, said)
