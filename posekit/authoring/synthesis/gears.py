"""The joint on the shaft itself, gears of whole teeth between them, and a pinion on a rack."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import numpy as np

from posekit.arrays import Array, Index, Truth
from posekit.authoring.synthesis.candidate import Candidate, fits, judged
from posekit.authoring.synthesis.search import Screened, screened
from posekit.authoring.synthesis.wish import Stock, Wish
from posekit.linkage import Direct, Gear, Hinge
from posekit.text import exact

KEPT = 3
EXACT, ROOM = 1e-9, 4e-3
MODULES = (0.5, 0.8, 1.0, 1.25, 1.5, 2.0)  # mm, of series 1 of ISO 54 (from memory)


@dataclass(frozen=True, slots=True, eq=False)
class Ratios:
    """N ratios of shaft to joint, with the teeth that make each (N, 2)."""

    ratio: Array
    teeth: Array

    def take(self, index: Index | Truth) -> Ratios:
        """Those at `index`, or of a mask."""
        return Ratios(self.ratio[index], self.teeth[index])

    def motion(self, shafts_deg: Array) -> tuple[Array, Array]:
        """Joint [deg | mm] from the zero of the shaft, and 90: there is no rod; two (N, S)."""
        joint = shafts_deg / self.ratio[:, None]
        return joint, np.full_like(joint, 90.0)


def direct(wish: Wish, stock: Stock, hinge: Hinge) -> list[Candidate]:
    """The joint on the shaft, if it is to turn just as far, and the same way."""
    one = Ratios(np.ones(1), np.ones((1, 2)))
    seen = screened(one, wish)
    candidate = judged(Direct(offset=_offset(seen, 0)), hinge, wish) if seen.room[0] >= -EXACT else None
    return [candidate] if candidate and fits(candidate, wish) else []


def gears(wish: Wish, stock: Stock, hinge: Hinge) -> list[Candidate]:
    """Gears of different whole teeth that do what is wished, the nearest to the positions wanted first."""
    ratios = _racks(wish, stock) if wish.moves == "slide" else _pairs(wish, stock)
    seen = screened(ratios, wish)
    good = np.flatnonzero(seen.room >= -EXACT)
    # The nearest, and of others those with fewer teeth.
    order = good[np.lexsort((ratios.teeth[good].sum(axis=1), np.round(seen.off[good], 2)))]
    fewest = good[np.lexsort((seen.off[good], ratios.teeth[good].sum(axis=1)))]
    found: list[Candidate] = []
    for i in dict.fromkeys([*order[:1].tolist(), *fewest[: KEPT - 1].tolist()]):
        gear = Gear(ratio=float(ratios.ratio[i]), offset=_offset(seen, i))
        candidate = judged(gear, hinge, wish, _words(ratios, i, wish))
        if candidate is not None and fits(candidate, wish):
            found.append(candidate)
    return sorted(found, key=lambda each: each.off)


def _offset(seen: Screened, i: int) -> float:
    # `zero` is taken off what moves.
    # Where there is no room about it, it is not rounded.
    zero = float(seen.zero[i])
    return (-zero if seen.room[i] < ROOM else round(-zero, 3)) + 0.0


def _pairs(wish: Wish, stock: Stock) -> Ratios:
    shaft, joint = (each.ravel() for each in np.meshgrid(stock.teeth, stock.teeth))
    return Ratios(wish.way * joint / shaft, np.stack([shaft, joint], axis=-1))


def _racks(wish: Wish, stock: Stock) -> Ratios:
    teeth, module = (each.ravel() for each in np.meshgrid(stock.teeth, MODULES))
    return Ratios(wish.way * 360.0 / (pi * module * teeth), np.stack([teeth, module], axis=-1))


def _words(ratios: Ratios, i: int, wish: Wish) -> str:
    first, second = ratios.teeth[i].tolist()
    if wish.moves == "slide":
        return f"rack and pinion of {exact(first)} teeth of module {exact(second)}"
    way = "meshing" if wish.way < 0 else "belt or idler"
    return f"{exact(first)} teeth on the shaft and {exact(second)} on the joint, {way}"
