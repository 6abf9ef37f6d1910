"""What clearance does not judge, or not wholly, and why: every answer "clear" is true only beside this list."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations
from typing import Any

from posekit.mechanism.pairs import Pair, rigid_bodies
from posekit.prop.model import Link, Prop
from posekit.shape import Mesh
from posekit.text import counted


@dataclass(frozen=True, slots=True)
class LeftOut:
    """Something of a pair of links that is not judged, and why.

    `whole`: nothing of the pair is judged. Otherwise the pair is judged but for what `why` names.
    """

    pair: Pair
    why: str
    whole: bool = True

    def as_dict(self) -> dict[str, Any]:
        """As the command line and the page print it."""
        return {"pair": list(self.pair), "why": self.why, "whole": self.whole}


def left_out_but_zones(prop: Prop) -> list[LeftOut]:
    """What is left out of pairs, but for the zones of joints; a pair may come more than once."""
    ignored = {frozenset(pair) for pair in prop.clearance.ignore}
    body = rigid_bodies(prop)
    shaped = [link for link in prop.links if link.shapes]
    drawn = {link.name: _all_drawn(link) for link in shaped if not _is_solid(link)}
    in_part = {link.name: _of_shapes(link) for link in shaped}
    found = []
    for a, b in combinations(shaped, 2):
        pair, both = (a.name, b.name), frozenset((a.name, b.name))
        if why := drawn.get(a.name) or drawn.get(b.name):
            found.append(LeftOut(pair, why))
        elif body[a.name] == body[b.name]:
            found.append(LeftOut(pair, "fixed together"))
        elif both in ignored:
            found.append(LeftOut(pair, "ignored by the prop file"))
        else:
            found += [LeftOut(pair, own, whole=False) for name in pair for own in in_part[name]]
    return found


def _is_solid(link: Link) -> bool:
    """Whether a link has a shape that clearance judges."""
    return any(shape.solid for shape in link.shapes)


def _all_drawn(link: Link) -> str:
    """Why nothing of a link without solid shapes is judged."""
    return f"{link.name} is only drawn (solid = false)"


def _of_shapes(link: Link) -> list[str]:
    """What of a link's shapes is not judged, or not as the builder drew it."""
    drawn = sum(not shape.solid for shape in link.shapes)
    hulls = sum(
        shape.solid and isinstance(shape.form, Mesh) and shape.form.pieces is None for shape in link.shapes
    )
    told = []
    if drawn:
        told.append(f"{counted(drawn, 'shape')} of {link.name} only drawn (solid = false)")
    if hulls:
        told.append(
            f"{counted(hulls, 'mesh', 'meshes')} of {link.name} checked as its hull, any hollow filled"
        )
    return told


def summary(judged: int, left_out: Iterable[LeftOut]) -> str:
    """`61 pairs checked, 12 of them in part; 14 pairs not checked`, for the line above a list."""
    whole = {each.pair for each in left_out if each.whole}
    partly = {each.pair for each in left_out if not each.whole} - whole
    told = f"{counted(judged, 'pair')} checked"
    if partly:
        told += f", {len(partly)} of them in part"
    return f"{told}; {counted(len(whole), 'pair')} not checked" if whole else told


def grouped(everything: Iterable[LeftOut]) -> list[tuple[str, str]]:
    """The same for people: (parts, why), what has one reason and one part in common said once."""
    by_why: dict[str, list[Pair]] = {}
    for each in everything:
        by_why.setdefault(each.why, []).append(each.pair)
    told = []
    for why, pairs in by_why.items():
        common = set(pairs[0]).intersection(*pairs)
        if len(pairs) > 1 and len(common) == 1:
            told.append((f"{common.pop()} - {len(pairs)} other parts", why))
        else:
            told += [(parts, why) for parts in _each_with_each(pairs)]
    return told


def _each_with_each(pairs: list[Pair]) -> Iterator[str]:
    """Pairs in words; of parts that are all paired with each other, as those of a rigid body, the parts."""
    others: dict[str, set[str]] = {}
    for a, b in pairs:
        others.setdefault(a, {a}).add(b)
        others.setdefault(b, {b}).add(a)
    alike: dict[frozenset[str], list[str]] = {}  # parts by who they are paired with, themselves among them
    for part, own in others.items():
        alike.setdefault(frozenset(own), []).append(part)
    together = {part: alike[frozenset(own)] for part, own in others.items()}
    told: set[str] = set()
    for a, b in pairs:
        parts = together[a]
        if len(others[a]) == 2 or len(parts) < len(others[a]):
            yield f"{a} - {b}"
        elif parts[0] not in told:
            told.add(parts[0])
            yield f"{', '.join(parts)}: each with each"
