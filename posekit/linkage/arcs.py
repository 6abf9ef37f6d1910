"""Where a linkage closes: arcs of the shaft's turn, in degrees, from dead point to dead point."""

from __future__ import annotations

from cmath import rect
from collections.abc import Callable, Sequence
from itertools import pairwise
from math import acos, ceil, degrees, inf, isfinite, isinf, nan, pi

import numpy as np
from numpy.typing import NDArray

Arc = tuple[float, float]

EVERYWHERE: Arc = (-inf, inf)
NOWHERE: Arc = (nan, nan)

# A linkage that only just passes a dead point may leave it on either branch, so it ends the arc too.
TOUCHING = 1e-12

# A highest term this small beside the others is rounding; as a leading factor it would spoil the roots.
NO_TERM = 1e-13
TINY = 1e-290

FINEST_RAD = 4e-15
HALVINGS = 60  # of two turns, the widest range, to below that


def around(arcs: Sequence[Arc], at: float) -> Arc:
    """Of `arcs`, which repeat every full turn, the one around the angle `at` [deg], else the nearest.

    Both ends are counted from `at`. NOWHERE if there are no arcs.
    """
    if any(isinf(start) for start, _ in arcs):
        return EVERYWHERE
    nearest = [_from(at, arc) for arc in arcs]
    return min(nearest, key=lambda arc: max(arc[0], -arc[1], 0.0), default=NOWHERE)


def _from(at: float, arc: Arc) -> Arc:
    start, end = arc
    turns = 360.0 * round((at - (start + end) / 2) / 360.0)
    return start + turns - at, end + turns - at


def nearest_angle(arc: Arc) -> float:
    """The angle of `arc` nearest to 0 [deg]."""
    start, end = arc
    return min(max(0.0, start), end)


def whole_turns(angle_deg: float) -> float:
    """The full turns [deg] to take off an angle so that it lies in (-180, 180]; nan stays nan."""
    return 360.0 * ceil((angle_deg - 180.0) / 360.0) if isfinite(angle_deg) else angle_deg


def cosine_between(low: float, high: float) -> tuple[Arc, ...]:
    """The arcs of x [deg] on which low <= cos x <= high."""
    if low > min(high, 1.0) or high < -1.0:
        return ()
    first = degrees(acos(min(high, 1.0))) if high <= 1.0 + TOUCHING else None
    last = degrees(acos(max(low, -1.0))) if low >= -1.0 - TOUCHING else None
    if first is None:
        return (EVERYWHERE,) if last is None else ((-last, last),)
    if last is None:
        return ((first, 360.0 - first),)
    return ((first, last), (-last, -first))


def not_negative(polynomial: NDArray[np.complex128]) -> tuple[Arc, ...]:
    """The arcs of x [deg] on which a real trigonometric polynomial is not negative.

    `polynomial` (2n + 1,) holds the factors of exp(-i n x) .. exp(+i n x). Between its turning points
    it is monotone, so that halving finds each zero for sure. None if its factors are too small or
    too large to reckon with.
    """
    size = float(np.abs(polynomial).sum())
    if not TINY < size < inf:
        return ()
    polynomial = polynomial / size
    constant = float(polynomial[len(polynomial) // 2].real)
    falling = [complex(factor) for factor in polynomial[: len(polynomial) // 2 : -1]]

    def value(x: float) -> float:
        # Horner's scheme for the upper half; the lower half is its conjugate.
        half, turn = 0j, rect(1.0, x)
        for factor in falling:
            half = (half + factor) * turn
        return constant + 2.0 * half.real

    angles = _turning_points(polynomial)
    if not angles:
        return (EVERYWHERE,) if value(0.0) > TOUCHING else ()
    angles.append(angles[0] + 2 * pi)
    heights = [0.0 if abs(height) <= TOUCHING else height for height in map(value, angles)]
    if min(heights) > 0.0:
        return (EVERYWHERE,)

    pieces: list[Arc] = []
    for (left, right), (at_left, at_right) in zip(pairwise(angles), pairwise(heights), strict=True):
        if max(at_left, at_right) <= 0.0:
            continue
        start = _zero(value, left, right) if at_left < 0.0 else left
        end = _zero(value, left, right) if at_right < 0.0 else right
        if pieces and at_left > 0.0:
            pieces[-1] = (pieces[-1][0], end)
        else:
            pieces.append((start, end))
    if len(pieces) > 1 and heights[0] > 0.0:  # the first and the last piece meet at the start of the turn
        pieces[0] = (pieces.pop()[0] - 2 * pi, pieces[0][1])
    return tuple((degrees(start), degrees(end)) for start, end in pieces)


def _turning_points(polynomial: NDArray[np.complex128]) -> list[float]:
    """Angles [rad], rising, among which are all where a trigonometric polynomial of size 1 turns back.

    They are roots of its slope, a polynomial in exp(i x). A root off the unit circle adds an angle that
    is not needed and does no harm.
    """
    # Ends: it grows shorter.
    while len(polynomial) > 1 and abs(polynomial[-1]) <= NO_TERM:
        polynomial = polynomial[1:-1]
    order = len(polynomial) // 2
    slope = np.arange(-order, order + 1) * polynomial
    return sorted(float(angle) for angle in np.angle(np.roots(slope[::-1])))


def _zero(value: Callable[[float], float], left: float, right: float) -> float:
    """Where `value` changes sign between `left` and `right` [rad], from the side where it is not negative."""
    below, above = (left, right) if value(left) < 0.0 else (right, left)
    for _ in range(HALVINGS):
        if abs(above - below) <= FINEST_RAD:
            break
        middle = (below + above) / 2
        below, above = (middle, above) if value(middle) < 0.0 else (below, middle)
    return above
