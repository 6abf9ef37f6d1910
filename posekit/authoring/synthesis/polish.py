"""Good loops made better: those around each are looked at, ever nearer to it."""

from __future__ import annotations

from itertools import product

import numpy as np

from posekit.authoring.synthesis.loops import Loops, joined, through_all, through_two
from posekit.authoring.synthesis.search import promising
from posekit.authoring.synthesis.wish import Stock, Wish

# Share of a length, and degrees of the horn, to either side: half the steps of the first look, and on from there.
ROUNDS = ((0.08, 2.5), (0.04, 1.2), (0.02, 0.6), (0.01, 0.3))


def polished(loops: Loops, wish: Wish, stock: Stock, grounds: bool = False) -> Loops:
    """Loops around these that push better or are straighter, with these among them; lengths of a list stay.

    `grounds` tells that the servo may be moved along `between`.
    """
    for share, turn_deg in ROUNDS:
        loops = promising(joined([loops, _around(loops, wish, stock, grounds, share, turn_deg)]), wish)
    return loops


def _around(loops: Loops, wish: Wish, stock: Stock, grounds: bool, share: float, turn_deg: float) -> Loops:
    steps = (-1.0, 0.0, 1.0)
    arms = (0.0,) if stock.arms.listed or len(wish.joints) > 2 else steps
    places = steps if grounds and not stock.grounds.listed else (0.0,)
    found = []
    for arm_step, place_step, turn_step in product(arms, places, steps):
        arm = np.clip(loops.arm * (1.0 + share * arm_step), stock.arms.low, stock.arms.high)
        between = loops.between * (1.0 + share * place_step)
        if grounds:
            between = -np.clip(-between, stock.grounds.low, stock.grounds.high) * (between != 0.0)
        turned = loops.horn_deg + turn_deg * turn_step
        if len(wish.joints) > 2:
            found.append(through_all(loops.planes, between, loops.horn, turned, *wish.with_middle))
        else:
            found.append(through_two(loops.planes, between, loops.horn, arm, turned, *wish.ends))
    near = joined(found)
    # One branch is kept to if one is wished, and both are among `loops` if not.
    there = stock.rods.holds(near.rod) & stock.arms.holds(near.arm) & np.isin(near.side, loops.side)
    return near.take(there)
