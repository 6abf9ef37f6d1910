"""What the joints' holders have to give, at rest or in motion, for P instants at once: recursive Newton-Euler.

Outwards from the root, how each body moves follows from how the one that carries it does, and tells what force and
moment it takes. Inwards each joint passes on what is beyond it, and its holder gives the part along or about its axis
(Luh, Walker and Paul 1980; Featherstone, Rigid Body Dynamics Algorithms, ch. 5). Gravity is an acceleration of the root
upwards. All bodies of a level go at once; what their rows are is told in `bodies`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array
from posekit.statics.bodies import GAIN, MOVING, PRODUCTS, PULL, RESTING, TURNING, Bodies, Level

NUMBERS = 1 << 16  # of how the bodies of a level move: so few that they stay in the cache


@dataclass(frozen=True, slots=True)
class Instants:
    """The bodies at P instants, and the memory for all that is found of them, used again for the next instants.

    `position` (B, P) [rad | m] is of the joints, with its `cosine` and `sine`, `speed` and `gain` (B, P) are how it
    changes; `pull` (B, 6, P) is what the bodies take. `levels` (2, n, 15, P) has room for how the bodies of two levels
    move, `some` (n, 6, P) for what lies between.
    """

    position: Array
    cosine: Array
    sine: Array
    speed: Array
    gain: Array
    pull: Array
    levels: Array
    some: Array

    def first(self, count: int) -> Instants:
        """Of so many instants."""
        own = (
            self.position,
            self.cosine,
            self.sine,
            self.speed,
            self.gain,
            self.pull,
            self.levels,
            self.some,
        )
        return Instants(*(each[..., :count] for each in own))


def room_for(bodies: Bodies, count: int) -> Instants:
    """Room for so many instants, or as many as are best looked at at once."""
    widest = max((level.last - level.first for level in bodies.levels), default=1)
    count = min(count, NUMBERS // (MOVING * widest) + 1)
    position, cosine, sine, speed, gain = np.empty((5, len(bodies.column), count))
    pull = np.empty((len(bodies.column), PULL, count))
    levels, some = np.empty((2, widest, MOVING, count)), np.empty((widest, PULL, count))
    return Instants(position, cosine, sine, speed, gain, pull, levels, some)


def turn(at: Instants) -> None:
    """Find cosine and sine of the positions."""
    # By the tangent of half the angle, for which NumPy has vector instructions: in a fourth of the time.
    tangent, share = at.sine, at.cosine
    np.multiply(at.position, 0.5, out=tangent)
    np.tan(tangent, out=tangent)
    np.multiply(tangent, tangent, out=share)
    share += 1.0
    np.divide(2.0, share, out=share)
    tangent *= share
    share -= 1.0


def take(bodies: Bodies, at: Instants, gravity: Array, moving: bool) -> None:
    """Find force and moment that each body takes by itself, at rest or moving; gravity (3,) [m/s2] in the world."""
    rows, gain = (MOVING, GAIN) if moving else (RESTING, slice(None))
    before, after = at.levels[:, :, :rows]
    for level in bodies.levels:
        passing, now = level.moving if moving else level.resting, after[: level.last - level.first]
        vectors = now[:, : passing.into.shape[1]]
        if level.first == 0:
            vectors[:] = (passing.into[:, :, gain] @ -gravity)[..., None]
        else:
            for carrier, begin, end in level.families:
                np.matmul(passing.into[begin:end], before[carrier], out=vectors[begin:end])
        _turn_along(level, at, vectors)
        if moving:
            _go_along(level, at, now)
        np.matmul(passing.takes, now, out=at.pull[level.first : level.last])
        before, after = after, before


def hold(bodies: Bodies, at: Instants, given: Array) -> None:
    """Find what the holders of all joints give, (B, P) [N*m | N], for what the bodies take, which is added up."""
    for i in reversed(range(len(bodies.levels))):
        level = bodies.levels[i]
        own, turns = at.pull[level.first : level.last], level.slides - level.first
        given[level.first : level.slides] = own[:turns, 5]
        given[level.slides : level.last] = own[turns:, 4]
        if i == 0:
            break
        carriers = bodies.levels[i - 1]
        _turn_back(level, at, own)
        passed = np.matmul(level.back, own, out=at.some[: len(own)])
        for carrier, begin, end in level.families:
            for each in passed[begin:end]:
                at.pull[carriers.first + carrier] += each


def _turn_along(level: Level, at: Instants, vectors: Array) -> None:
    """Bring vectors (n, 3 k, P) into the frames of bodies that turn: x' = c x + s y, y' = c y - s x."""
    turns, own = level.slides - level.first, slice(level.first, level.slides)
    k = vectors.shape[1] // 3
    flat, aside = vectors[:turns, : 2 * k], at.some[:turns, : 2 * k]
    np.multiply(flat, at.sine[own, None], out=aside)
    flat *= at.cosine[own, None]
    flat[:, :k] += aside[:, k:]
    flat[:, k:] -= aside[:, :k]


def _turn_back(level: Level, at: Instants, pull: Array) -> None:
    """Bring force and moment on bodies (n, 6, P) into the frames that their joints have at 0."""
    turns, own = level.slides - level.first, slice(level.first, level.slides)
    flat, aside = pull[:turns, :4], at.some[:turns, :4]
    np.multiply(flat, at.sine[own, None], out=aside)
    flat *= at.cosine[own, None]
    flat[:, :2] -= aside[:, 2:]
    flat[:, 2:] += aside[:, :2]
    if level.slides < level.last:
        slid, along = pull[turns:], at.position[level.slides : level.last]
        slid[:, 1] -= along * slid[:, 2]
        slid[:, 3] += along * slid[:, 0]


def _go_along(level: Level, at: Instants, now: Array) -> None:
    """Add to how bodies are carried (n, 15, P) how their own joints go, and the products of how they turn."""
    turns, own = level.slides - level.first, slice(level.first, level.slides)
    speed, turning, aside = at.speed[own], now[:turns], at.some[:turns, :2]
    # dw = dw + w x z q' + z q'', w = w + z q'
    np.multiply(turning[:, 0:6:3], speed[:, None], out=aside)
    turning[:, 1] += aside[:, 1]
    turning[:, 4] -= aside[:, 0]
    turning[:, 6] += speed
    turning[:, 7] += at.gain[own]
    w, products = now[:, TURNING], now[:, PRODUCTS]
    np.multiply(w, w, out=products[:, :3])
    np.multiply(w[:, :2], w[:, 1:], out=products[:, 3:5])
    np.multiply(w[:, 0], w[:, 2], out=products[:, 5])
    if level.slides < level.last:
        own = slice(level.slides, level.last)
        _slide_along(now[turns:], at.position[own], at.speed[own], at.gain[own])


def _slide_along(now: Array, along: Array, speed: Array, gain: Array) -> None:
    """Add what a slide does to the origin: dw x z q + w x (w x z q) + 2 w x z q' + z q''."""
    wx, dwx, _, wy, dwy, _, _, _, _, xx, yy, _, _, yz, xz = now.swapaxes(0, 1)
    now[:, 2] += (dwy + xz) * along + 2.0 * wy * speed
    now[:, 5] += (yz - dwx) * along - 2.0 * wx * speed
    now[:, 8] += gain - (xx + yy) * along
