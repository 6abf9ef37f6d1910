"""From a movement to linkages that make it. Knows linkages, and no prop.

`linkages_for` finds them, `in_the_way` tells which wish rules them out. What is found is judged by the forward
formulas of `posekit.linkage` alone.
"""

from __future__ import annotations

from collections.abc import Iterable

from posekit.authoring.synthesis.candidate import Candidate
from posekit.authoring.synthesis.four_bars import four_bars
from posekit.authoring.synthesis.gears import direct, gears
from posekit.authoring.synthesis.loosened import Search, in_the_way, in_the_way_steps
from posekit.authoring.synthesis.push_rods import push_rods
from posekit.authoring.synthesis.slider_cranks import slider_cranks
from posekit.authoring.synthesis.wish import Place, Sizes, Stock, Wish, one_of
from posekit.linkage import Hinge

# What can be looked for, by its name in the prop file.
SEARCHES: dict[str, Search] = {
    "direct": direct,
    "gear": gears,
    "four_bar": four_bars,
    "push_rod": push_rods,
    "slider_crank": slider_cranks,
}
TURNS, SLIDES = ("direct", "gear", "four_bar", "push_rod"), ("gear", "slider_crank")


def linkages_for(wish: Wish, stock: Stock, hinge: Hinge, types: tuple[str, ...]) -> list[Candidate]:
    """Different linkages of these types that do what is wished, those that push best first."""
    return best_first(each for kind in types for each in SEARCHES[kind](wish, stock, hinge))


def best_first(found: Iterable[Candidate]) -> list[Candidate]:
    """Those that push best first, of these the straightest."""
    return sorted(found, key=lambda each: (-each.transmission_deg, each.straightness))


__all__ = [
    "SEARCHES",
    "SLIDES",
    "TURNS",
    "Candidate",
    "Place",
    "Sizes",
    "Stock",
    "Wish",
    "best_first",
    "in_the_way",
    "in_the_way_steps",
    "linkages_for",
    "one_of",
]
