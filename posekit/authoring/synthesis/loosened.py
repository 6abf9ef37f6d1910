"""Where nothing fits: each wish loosened in turn, all others held, to see which of them is in the way."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator
from dataclasses import dataclass, replace

from posekit.authoring.synthesis.candidate import Candidate
from posekit.authoring.synthesis.wish import Sizes, Stock, Wish
from posekit.linkage import Hinge
from posekit.stepwise import finished
from posekit.text import downward, exact, plain, upward

Search = Callable[[Wish, Stock, Hinge], list[Candidate]]

ANY_LENGTH = Sizes(3.0, 300.0)
ANY_HORN = Sizes(4.0, 60.0)
ANY_ARM = Sizes(4.0, 120.0)
ANY_OFFSET = Sizes(-100.0, 100.0)
ROUGHLY = 8.0
ANY_TEETH = tuple(range(8, 121))
SHARES = (0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3)
LEAST_DEG = 5.0  # a rod that pushes worse than this jams in any joint


@dataclass(frozen=True, slots=True)
class Loosened:
    """A wish and a stock with one thing let go; `said` tells what that takes.

    Of what fits then, the best is told of, or that nearest to what there is: `away` says how far one is from that.
    """

    wish: Wish
    stock: Stock
    said: Callable[[Candidate], str]
    away: Callable[[Candidate], float] = lambda _: 0.0


def in_the_way(wish: Wish, stock: Stock, hinge: Hinge, type: str, search: Search) -> list[str]:
    """What each wish says that lets a linkage of this type fit once it is let go; none if no single one does."""
    return finished(in_the_way_steps(wish, stock, hinge, type, search))


def in_the_way_steps(
    wish: Wish, stock: Stock, hinge: Hinge, type: str, search: Search
) -> Generator[None, None, list[str]]:
    """The same with a pause before each search."""
    told = []
    for let_go in _loosened(wish, stock, type):
        yield
        if found := search(let_go.wish, let_go.stock, hinge):
            told.append(let_go.said(min(found, key=let_go.away)))
    # One by one: with the lengths of a list there may be a reach for a wider range and none for a narrower.
    for let_go in _narrowed(wish, stock):
        yield
        if found := search(let_go.wish, let_go.stock, hinge):
            return [*told, let_go.said(found[0])]
    return told


def _loosened(wish: Wish, stock: Stock, type: str) -> Iterator[Loosened]:
    """All wishes but the range that concern this type of linkage, each let go in turn."""
    unit = "mm" if wish.moves == "slide" else "degrees"
    if type in ("four_bar", "push_rod", "slider_crank"):
        yield from _lengths(wish, stock, type)
        least = wish.transmission_deg
        yield Loosened(
            replace(wish, transmission_deg=LEAST_DEG),
            stock,
            lambda found: (
                f"the least transmission angle: {exact(least)} degrees are wished, "
                f"the best found has {downward(found.transmission_deg, 1)}"
            ),
        )
    if type == "gear":
        yield Loosened(
            wish,
            replace(stock, teeth=ANY_TEETH),
            lambda found: f"the teeth: {found.remark.split(', ')[0]} fits",
        )
    if wish.bend is not None:
        bend = wish.bend
        yield Loosened(
            replace(wish, bend=None),
            stock,
            lambda found: (
                f"straightness: {exact(bend)} {unit} are wished, one with {upward(found.straightness)} fits"
            ),
        )
    if wish.branch is not None:
        branch = wish.branch
        yield Loosened(
            replace(wish, branch=None),
            stock,
            lambda found: (
                f"the branch: none fits on '{branch}', one does on '{found.dimensions.get('branch')}'"
            ),
        )
    if wish.stops is not None:
        yield Loosened(
            replace(wish, stops=None),
            stock,
            lambda found: f"the hard stops: without them one reaches {_range(found.reach, unit)}",
        )
    if len(wish.joints) > 2:
        ends = replace(
            wish, shafts=(wish.shafts[0], wish.shafts[-1]), joints=(wish.joints[0], wish.joints[-1])
        )
        yield Loosened(
            ends, stock, lambda found: "the positions between the first and the last: without them one fits"
        )
        yield Loosened(
            replace(wish, within=ROUGHLY * wish.within),
            stock,
            lambda found: f"how nearly positions are met: one that misses by {upward(found.off)} {unit} fits",
        )
    if wish.travel is not None and (wish.shafts[0], wish.shafts[-1]) == wish.span:
        first, last = wish.travel
        share = (last - first) / (wish.span[1] - wish.span[0])
        wider = tuple(first + share * (shaft - wish.span[0]) for shaft in wish.shafts)
        yield Loosened(
            replace(wish, span=wish.travel, shafts=wider),
            stock,
            lambda found: (
                f"the end points: over the whole travel, {plain(first)} to {plain(last)} degrees, one fits"
            ),
        )


def _narrowed(wish: Wish, stock: Stock) -> Iterator[Loosened]:
    """The range wanted made smaller about its middle, step by step."""
    unit = "mm" if wish.moves == "slide" else "degrees"
    middle = sum(wish.wanted) / 2.0
    for share in SHARES:
        joints = tuple(middle + share * (joint - middle) for joint in wish.joints)
        yield Loosened(
            replace(wish, joints=joints),
            stock,
            lambda found: f"the range of the joint: one that reaches {_range(found.reach, unit)} fits",
        )


def _lengths(wish: Wish, stock: Stock, type: str) -> Iterator[Loosened]:
    yield Loosened(
        wish,
        replace(stock, horns=ANY_HORN),
        lambda found: f"the horns: one of {exact(found.horn_mm)} mm fits",
        lambda found: stock.horns.away(found.horn_mm),
    )
    yield Loosened(
        wish,
        replace(stock, rods=ANY_LENGTH),
        lambda found: f"the rods: one of {exact(found.rod_mm)} mm fits",
        lambda found: stock.rods.away(found.rod_mm),
    )
    if type == "slider_crank":
        yield Loosened(
            wish,
            replace(stock, offsets=ANY_OFFSET),
            lambda found: f"where the servo may sit: {_below(found.dimensions['offset'])} the slide fits",
            lambda found: stock.offsets.away(found.dimensions["offset"]),
        )
        return
    yield Loosened(
        wish, replace(stock, arms=ANY_ARM), lambda found: f"the arms: one of {exact(found.arm_mm)} mm fits"
    )
    if type == "four_bar":
        yield Loosened(
            wish,
            replace(stock, grounds=ANY_LENGTH),
            lambda found: (
                f"where the servo may sit: {exact(found.dimensions['ground'])} mm from the joint fits"
            ),
            lambda found: stock.grounds.away(found.dimensions["ground"]),
        )


def _below(offset_mm: float) -> str:
    return f"{exact(abs(offset_mm))} mm {'below' if offset_mm >= 0.0 else 'above'}"


def _range(reach: tuple[float, float], unit: str) -> str:
    return f"{reach[0]:.1f} to {reach[1]:.1f} {unit}"
