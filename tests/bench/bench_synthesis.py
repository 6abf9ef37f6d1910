"""Linkages found by synthesis against a general optimiser on the same wish, in one run: time and angle as ratios.

    pytest tests/bench/bench_synthesis.py -s

The reference is scipy's differential evolution over horn, arm, ground, rod and horn angle as real numbers. It pays for
each degree by which the joint misses its range.
"""

from __future__ import annotations

from time import perf_counter

import numpy as np
from scipy.optimize import differential_evolution

from posekit.authoring.synthesis import Stock, Wish, linkages_for
from posekit.linkage import Hinge

WISH = Wish(moves="turn", span=(-40.0, 40.0), shafts=(-40.0, 40.0), joints=(-10.0, 35.0))
STOCK = Stock()
GOAL_ANGLE, GOAL_TIME = 0.97, 1.0


def worst(dimensions: np.ndarray) -> np.ndarray:
    """Minus the least transmission angle [deg] of four-bars (5, N), and what the miss at the last position costs."""
    horn, arm, ground, rod, angle = dimensions
    shaft = np.radians(angle[:, None] + np.linspace(*WISH.span, 17))
    pin = horn[:, None] * np.exp(1j * shaft) - ground[:, None]
    cosine = (np.abs(pin) ** 2 + arm[:, None] ** 2 - rod[:, None] ** 2) / (2 * arm[:, None] * np.abs(pin))
    closes = (np.abs(cosine) < 1.0).all(axis=1)
    away = np.arccos(np.clip(cosine, -1.0, 1.0))
    direction = np.degrees(np.unwrap(np.angle(pin) - away, axis=1))
    between = np.abs(np.abs(pin) ** 2 - arm[:, None] ** 2 - rod[:, None] ** 2) / (2 * arm * rod)[:, None]
    least = np.degrees(np.arccos(np.minimum(between, 1.0))).min(axis=1)
    miss = np.abs(direction[:, -1] - direction[:, 0] - (WISH.joints[1] - WISH.joints[0]))
    back = np.maximum(-np.diff(direction, axis=1), 0.0).sum(axis=1)
    return np.where(closes, -least + 20.0 * miss + 100.0 * back, 1000.0)


def test_synthesis_is_as_good_as_a_general_optimiser_and_no_slower() -> None:
    start = perf_counter()
    best = linkages_for(WISH, STOCK, Hinge(), ("four_bar",))[0]
    took = perf_counter() - start
    bounds = [(8.0, 20.0), (8.0, 40.0), (20.0, 120.0), (20.0, 150.0), (-180.0, 180.0)]
    start = perf_counter()
    reference = differential_evolution(
        worst, bounds, vectorized=True, updating="deferred", seed=1, maxiter=400, popsize=30, tol=1e-8
    )
    reference_took = perf_counter() - start
    angle = best.transmission_deg / -reference.fun
    print(f"\nfour-bar: {took:.2f} s, {took / reference_took:.2f} of the optimiser's time (goal {GOAL_TIME})")
    print(f"least angle {best.transmission_deg:.1f} deg, {angle:.3f} of the optimiser's (goal {GOAL_ANGLE})")
    assert angle >= GOAL_ANGLE
