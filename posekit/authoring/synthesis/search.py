"""From many linkages to a few good ones, all different: screened in arrays, rounded, and judged one by one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol, Self, TypeVar

import numpy as np

from posekit.arrays import Array, Index, Truth
from posekit.authoring.synthesis.candidate import Candidate, fits, judged
from posekit.authoring.synthesis.wish import Wish
from posekit.linkage import Hinge, Linkage

FIRST_SCREENED, SCREENED = 3, 9  # angles over the span at which all are looked at, and what is left of them
ROUNDED = 14  # of those screened, how many of each straightness are rounded and judged
TRIED = 4  # of each, how many of its roundings
# Of one type the best pushers are kept, those among the fairly straight, and those among the straight: up to so
# many each, with joint over shaft bent by up to this share of the range wanted.
KEPT, BENT = 3, (np.inf, 0.06, 0.015)
SLACK = 1.0  # what rounding may mend [deg | mm] beside what the wish allows
MARGIN = 0.004  # room for the zero, which is rounded to a thousandth [deg | mm]


class Batch(Protocol):
    """N linkages of one type, all arrays (N, ...)."""

    def take(self, index: Index | Truth) -> Self:
        """Those at `index`, or of a mask."""

    def motion(self, shafts_deg: Array) -> tuple[Array, Array]:
        """What moves, from any zero [deg | mm], and the transmission angle [deg]; two (N, S); nan where it is open."""


class Rodded(Batch, Protocol):
    """N linkages with a rod."""

    def apart(self, middle_deg: float) -> Array:
        """(N, F) numbers that differ by 1 or more, one of them at least, where linkages are different."""


R = TypeVar("R", bound=Rodded)


@dataclass(frozen=True, slots=True, eq=False)
class Screened:
    """What N linkages do: least transmission angle, bend, the zero that suits best and the room about it; all (N,).

    `room` is how far the zero can be moved with all positions as wished; negative: by how much it fails. -inf where it
    does not close or turns back. `off` is the most that a position is missed by.
    """

    transmission_deg: Array
    bend: Array
    zero: Array
    room: Array
    off: Array


def screened(batch: Batch, wish: Wish, margin: float = 0.0, samples: int = SCREENED) -> Screened:
    """What N linkages do at a few angles over the span of a wish. Zeros keep half of `margin` off."""
    low, high = min(wish.span), max(wish.span)
    at = np.unique(np.concatenate([np.linspace(low, high, samples), wish.shafts]))
    motion, angles = batch.motion(at)
    good = np.isfinite(motion).all(axis=1) & (np.diff(motion, axis=1) * wish.way > 0.0).all(axis=1)
    share = (at - low) / (high - low)
    line = motion[:, :1] + (motion[:, -1:] - motion[:, :1]) * share
    first, last, zero, off = _zeros(motion, motion[:, np.searchsorted(at, wish.shafts)], wish, margin)
    return Screened(
        transmission_deg=angles.min(axis=1),
        bend=np.abs(motion - line).max(axis=1),
        zero=zero,
        room=np.where(good, last - first, -np.inf),
        off=off,
    )


def _zeros(motion: Array, there: Array, wish: Wish, margin: float) -> tuple[Array, Array, Array, Array]:
    """Between which two zeros all positions are as wished, which is best, and how far off positions then are; (N,)."""
    wanted = np.array(wish.joints)
    zeros = there - wanted  # of each position the zero that puts it right
    lowest, highest = motion.min(axis=1), motion.max(axis=1)
    least, most = wish.contained
    first, last = zeros.max(axis=1) - wish.within, zeros.min(axis=1) + wish.within
    first = np.maximum(first, there[:, int(np.argmin(wanted))] - least)
    last = np.minimum(last, there[:, int(np.argmax(wanted))] - most)
    if wish.stops is not None:
        first, last = np.maximum(first, highest - wish.stops[1]), np.minimum(last, lowest - wish.stops[0])
    middle = (zeros.min(axis=1) + zeros.max(axis=1)) / 2
    inset = np.minimum(margin / 2, (last - first) / 2)
    zero = np.clip(middle, first + inset, np.maximum(last - inset, first + inset))
    if margin > 0.0:
        zero = np.round(zero, 3)
    return first, last, zero, np.abs(zeros - zero[:, None]).max(axis=1)


def _different(score: Array, apart: Array, count: int) -> Index:
    """The indices of up to `count` of the highest scores, each different from all before; -inf is never taken."""
    left = score.copy()
    taken: list[int] = []
    for _ in range(min(count, len(score))):
        best = int(np.argmax(left))
        if left[best] == -np.inf:
            break
        taken.append(best)
        left[_alike(apart, apart[best])] = -np.inf
    return np.array(taken, dtype=np.intp)


def _alike(apart: Array, one: Array) -> Truth:
    """Which of N (N, F) are not different from one (F,)."""
    return np.asarray((np.abs(apart - one) < 1.0).all(axis=1))


def promising(batch: R, wish: Wish) -> R:
    """Of many the few that are worth to be rounded: those that push best, and the straightest."""
    for samples in (FIRST_SCREENED, SCREENED):
        seen = screened(batch, wish, samples=samples)
        ready = (seen.room >= -SLACK) & (seen.transmission_deg >= wish.transmission_deg - SLACK)
        if wish.bend is not None:
            ready &= seen.bend <= wish.bend + SLACK
        batch = batch.take(ready)
    few = _classes(
        seen.transmission_deg[ready], seen.bend[ready], batch.apart(wish.middle) * 2.0, wish, ROUNDED
    )
    return batch.take(np.array(few, dtype=np.intp))


def _classes(angle: Array, bend: Array, apart: Array, wish: Wish, count: int) -> list[int]:
    """The indices of the best pushers of each straightness, all different within it."""
    extent = wish.wanted[1] - wish.wanted[0]
    found: list[int] = []
    for most in BENT:
        score = np.where(bend <= most * extent, angle, -np.inf)
        for taken in found:
            score[_alike(apart, apart[taken])] = -np.inf
        found += _different(score, apart, count).tolist()
    return found


def made(
    rounded: R,
    owner: Index,
    wish: Wish,
    hinge: Hinge,
    make: Callable[[R, float], Linkage],
    margin: float = MARGIN,
) -> list[Candidate]:
    """The good ones among rounded linkages, one of each `owner` (N,), all different, the best first.

    `make` gives the linkage of a batch of one and its zero. `margin` [deg | mm] is what writing its numbers may change.
    """
    seen = screened(rounded, wish, margin)
    cost = np.where(seen.room >= margin, seen.off, np.inf)
    order = np.lexsort((cost, owner))
    found: list[Candidate] = []
    apart: list[Array] = []
    for each in np.unique(owner):
        for i in order[owner[order] == each][:TRIED].tolist():
            if cost[i] == np.inf:
                break
            one = rounded.take(np.array([i]))
            candidate = judged(make(one, float(seen.zero[i])), hinge, wish)
            if candidate is not None and fits(candidate, wish):
                found.append(candidate)
                apart.append(one.apart(wish.middle)[0])
                break
    return _chosen(found, apart, wish)


def _chosen(found: list[Candidate], apart: list[Array], wish: Wish) -> list[Candidate]:
    """The best of each straightness, all different, the best pusher first."""
    if not found:
        return []
    angles = np.array([each.transmission_deg for each in found])
    bends = np.array([each.straightness for each in found])
    kept = _classes(angles, bends, np.array(apart), wish, KEPT)
    return [found[i] for i in sorted(kept, key=lambda i: -angles[i])]
