"""Where a search for linkages is, and of each type that nothing was found of, which wish is in the way."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass

from posekit.authoring.synthesis import SEARCHES, Candidate, Stock, Wish, in_the_way_steps
from posekit.errors import Finding, error, warning
from posekit.linkage import Hinge


@dataclass(frozen=True, slots=True)
class Searching:
    """Where a search is: which type is looked for, or why none was found of it, and what was found so far."""

    type: str
    asks_why: bool
    candidates: tuple[Candidate, ...]


def missing_steps(
    found: list[Candidate], wish: Wish, stock: Stock, place: Hinge, asked: tuple[str, ...], name: str
) -> Generator[Searching, None, list[Finding]]:
    """Of each type that nothing was found of, which wish is in the way."""
    there = {each.type for each in found}
    told = []
    tell = warning if found else error
    for kind in asked:
        if kind in there or (kind == "direct" and len(asked) > 1):
            continue
        word = kind.replace("_", "-")
        steps = in_the_way_steps(wish, stock, place, kind, SEARCHES[kind])
        # Ends: with the steps, which are those of loops over lists.
        while True:
            yield Searching(kind, True, tuple(found))
            try:
                next(steps)
            except StopIteration as end:
                ways: list[str] = end.value
                break
        if ways:
            said = f"no {word} was found that does all of this. It would do to change any one of these: "
            said += "; ".join(ways)
        else:
            said = f"no {word} was found for this, whichever one wish is dropped: drop two or more, or use another "
            said += "linkage"
        told.append(tell("no-linkage", name, said))
    return told
