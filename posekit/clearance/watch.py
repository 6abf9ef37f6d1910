"""What clearance watches of a prop: the pairs of links, the sides that are judged of them, and what is left out.

A side is a link, or what of it stands outside the zone of one of its joints. Two neighbours are judged by the
sides outside their zone, all other pairs by the links as they are.
"""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import dataclass
from hashlib import sha256

import numpy as np

from posekit.arrays import Array, Index
from posekit.budgets import KEPT_WATCHES
from posekit.clearance.cores import NO_HULL, Cores
from posekit.clearance.covers import cover_of
from posekit.clearance.left_out import LeftOut, left_out_but_zones
from posekit.clearance.solids import Solids, cores, solid_steps
from posekit.clearance.zones import TOO_WIDE, Zone, outside_steps, zone_steps
from posekit.errors import Finding, PosekitError, error, warning
from posekit.mechanism.pairs import Pair, neighbours, possible_pairs
from posekit.prop.model import Prop
from posekit.prop.shapes import sources
from posekit.shape import Core
from posekit.stepwise import finished
from posekit.text import exact, upward
from posekit.toml.places import dotted


@dataclass(frozen=True, slots=True)
class Watch:
    """The K pairs of a prop that are judged, by name in the order of prop.links, and what is left out.

    `links` (K, 2) are their rows of prop.links, `sides` (K, 2) those of `parts`, whose first L sides are the
    links themselves. `zones` are those of neighbours, by pair.
    """

    parts: Solids
    pairs: tuple[Pair, ...]
    links: Index
    sides: Index
    zones: dict[Pair, Zone]
    left_out: tuple[LeftOut, ...]

    def sides_of(self, pair: Pair) -> tuple[int, int]:
        """The rows of `parts` by which two links are judged: the whole links where the pair is not watched.

        Raises PosekitError for neighbours of which nothing stands outside their zone.
        """
        if pair in self.pairs:
            a, b = self.sides[self.pairs.index(pair)].tolist()
            return a, b
        for each in self.left_out:
            if each.pair in (pair, pair[::-1]) and each.whole and pair in self.zones:
                raise PosekitError([error("not-judged", " - ".join(pair), each.why)])
        return self.parts.links.index(pair[0]), self.parts.links.index(pair[1])


def watch(prop: Prop) -> Watch:
    """What is watched of a prop. Raises PosekitError for a mesh or pieces it cannot use."""
    return finished(watch_steps(prop))


def watch_steps(prop: Prop) -> Generator[None, None, Watch]:
    """`watch` in small steps for callers with other work to do.

    Nobody may write into it: what was found last is kept, and found again for every prop that is made alike.
    """
    made_of = _made_of(prop)
    for kept, watched in _kept:
        if kept == made_of:
            return watched
    watched = yield from anew_steps(prop)
    _kept[:] = [*_kept[1 - KEPT_WATCHES :], (made_of, watched)]
    return watched


# What was found last, behind all that it was found of. Most changes to a prop move no shape and no joint.
_kept: list[tuple[tuple[object, ...], Watch]] = []


def _made_of(prop: Prop) -> tuple[object, ...]:
    """All of a prop that its watch depends on; the drives only where they alone bound how far a part slides."""
    named = {path for _, shape, _ in sources(prop) for _, path in shape.form.names()}
    files = {path: sha256(prop.files[path]).digest() for path in named if path in prop.files}
    slides = any(joint.type == "prismatic" and joint.stops is None for joint in prop.joints)
    drives = (prop.drives, prop.servos) if slides else ()
    return (prop.links, prop.joints, prop.fixed, prop.clearance, files, drives)


def anew_steps(prop: Prop) -> Generator[None, None, Watch]:
    """`watch_steps` whatever is kept."""
    parts = yield from solid_steps(prop)
    row = {name: i for i, name in enumerate(parts.links)}
    pairs = possible_pairs(prop)
    joints = neighbours(prop)
    joined = [pair for pair in pairs if pair in joints]
    covers = {}
    for link in sorted({row[name] for pair in joined for name in pair}):
        yield
        for s in range(parts.first[link], parts.first[link + 1]):
            covers[s] = cover_of(parts, s)
    found = yield from zone_steps(prop, parts, covers, [joints[pair] for pair in joined])
    sides = {pair: (row[pair[0]], row[pair[1]]) for pair in pairs}
    remains: list[tuple[int, list[int], list[tuple[Array, float]]]] = []
    used, swallowed = {}, {}
    for pair, zone in zip(joined, found, strict=True):
        if zone is None:
            continue
        yield
        used[pair], joint = zone, joints[pair]
        both = []
        for name in pair:
            of_child = name == joint.child
            both.append((yield from outside_steps(parts, covers, row[name], zone, joint, of_child=of_child)))
        inside = [name for name, (whole, cut) in zip(pair, both, strict=True) if not (whole or cut)]
        if inside:
            swallowed[pair] = inside[0]
            continue
        sides[pair] = (len(parts.links) + len(remains), len(parts.links) + len(remains) + 1)
        remains += [(row[name], *each) for name, each in zip(pair, both, strict=True)]
    judged = tuple(pair for pair in pairs if pair not in swallowed)
    return Watch(
        parts=_with_sides(parts, remains),
        pairs=judged,
        links=np.array([(row[a], row[b]) for a, b in judged], np.intp).reshape(-1, 2),
        sides=np.array([sides[pair] for pair in judged], np.intp).reshape(-1, 2),
        zones=used,
        left_out=_in_order(prop, [*left_out_but_zones(prop), *_left_out_by_zones(used, swallowed)]),
    )


def pairs(prop: Prop) -> list[Pair]:
    """The K pairs of links whose clearance is judged, by name, in the order of prop.links."""
    return list(watch(prop).pairs)


def left_out(prop: Prop) -> tuple[LeftOut, ...]:
    """Everything that clearance leaves out, pair by pair in the order of prop.links; a pair may come twice."""
    return watch(prop).left_out


def bearing_findings(watched: Watch) -> list[Finding]:
    """A warning for each zone that was found so wide that it may be a fault of the shapes, not a bearing."""
    return [
        warning(
            "wide-bearing",
            dotted(("joints", zone.joint)),
            f"at position 0 {pair[0]} and {pair[1]} touch or nearly touch up to {exact(zone.radius)} mm from its axis, "
            f"{upward(100 * zone.share, 0)} % of the smaller part; nothing within that is checked. If the bearing is "
            "smaller, give the joint a zone",
        )
        for pair, zone in watched.zones.items()
        if pair in watched.pairs and not zone.given and zone.share > TOO_WIDE
    ]


def _left_out_by_zones(used: dict[Pair, Zone], swallowed: dict[Pair, str]) -> list[LeftOut]:
    """What zones leave out of neighbours."""
    return [
        LeftOut(pair, f"they touch all round: nothing of {swallowed[pair]} stands outside {zone}")
        if pair in swallowed
        else LeftOut(pair, f"checked outside {zone}", whole=False)
        for pair, zone in used.items()
    ]


def _in_order(prop: Prop, everything: Sequence[LeftOut]) -> tuple[LeftOut, ...]:
    """What is left out, pair by pair in the order of prop.links."""
    row = {link.name: i for i, link in enumerate(prop.links)}
    return tuple(sorted(everything, key=lambda each: [row[name] for name in each.pair]))


def _with_sides(parts: Solids, remains: Sequence[tuple[int, list[int], list[tuple[Array, float]]]]) -> Solids:
    """Solids with further sides: of a link, some of its pieces as they are, and hulls (points, radius) [mm]."""
    rows: list[int] = []
    hulls: list[Core] = []
    links, sizes = [], []
    for link, whole, cut in remains:
        own = [_hull_core(points, radius) for points, radius in cut]
        fresh = range(len(parts.owner) + len(hulls), len(parts.owner) + len(hulls) + len(own))
        rows += [*whole, *fresh]
        hulls += own
        links.append(parts.links[link])
        sizes.append(len(whole) + len(own))
    if not remains:
        return parts
    new = cores(hulls)
    H = len(parts.cores.corners)
    more = Solids(
        links=parts.links,
        owner=parts.owner,
        first=parts.first,
        rotation=np.concatenate([parts.rotation, np.tile(np.eye(3), (len(hulls), 1, 1))]),
        centre=np.concatenate([parts.centre, np.array([each.centre for each in hulls]).reshape(-1, 3)]),
        radius=np.concatenate([parts.radius, [each.radius for each in hulls]]),
        reach=np.concatenate([parts.reach, [each.reach for each in hulls]]),
        cores=Cores(
            half=np.concatenate([parts.cores.half, new.half], axis=1),
            disc=np.concatenate([parts.cores.disc, new.disc]),
            hull=np.concatenate([parts.cores.hull, np.where(new.hull == NO_HULL, NO_HULL, new.hull + H)]),
            corners=_both_tables(parts.cores.corners, new.corners),
        ),
        findings=parts.findings,
    )
    every = np.concatenate([np.arange(len(parts.owner)), np.array(rows, np.intp)])
    return Solids(
        links=(*parts.links, *links),
        owner=np.concatenate([parts.owner, np.repeat(len(parts.links) + np.arange(len(links)), sizes)]),
        first=np.concatenate([parts.first, len(parts.owner) + np.cumsum(sizes)]),
        rotation=more.rotation[every],
        centre=more.centre[every],
        radius=more.radius[every],
        reach=more.reach[every],
        cores=more.cores.take(every),
        findings=parts.findings,
    )


def _hull_core(points: Array, radius: float) -> Core:
    """The hull of points (V, 3) [mm], grown by a radius [mm]."""
    middle = points.mean(axis=0)
    return Core(middle, radius=radius, points=points - middle)


def _both_tables(a: Array, b: Array) -> Array:
    """Two tables of corners (H, 3, V) as one; a hull with fewer corners repeats its first."""
    widest = max(a.shape[2], b.shape[2])

    def wide(table: Array) -> Array:
        return np.concatenate([table, np.repeat(table[:, :, :1], widest - table.shape[2], axis=2)], axis=2)

    return np.concatenate([wide(table) for table in (a, b) if len(table)] or [np.empty((0, 3, 0))])
