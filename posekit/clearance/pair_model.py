"""Everything needed to judge one pair of links over its own coordinates; small enough to send elsewhere."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass, replace

import numpy as np

from posekit.arrays import Array, Index, Truth
from posekit.chance import chances
from posekit.clearance.chain import Axes, Chain, chain_between, chain_poses
from posekit.clearance.cores import NO_HULL, Cores
from posekit.clearance.covers import core_corners
from posekit.clearance.distance import Asked, separation_steps
from posekit.clearance.solids import Solids
from posekit.clearance.watch import Watch
from posekit.mechanism.joints import Mechanism, Train, mechanism_of
from posekit.mechanism.reach import Coordinates, joints_within
from posekit.prop.model import Prop
from posekit.stepwise import finished
from posekit.transforms import a_from_b

TRIAL_POSES = 32


@dataclass(frozen=True, slots=True)
class PairModel:
    """One pair of links: the chain between them, its coordinates and the M pairs of convex pieces.

    `pieces` has each piece as a link of its own; pair of pieces i is `piece_a[i]` against `piece_b[i]`.
    `corners` span each core (V, 3) [mm] in the frame of its link, one row for a point; a disc is spanned
    by the corners of a polygon about it. The chain is watched from between its joints `watch - 1` and
    `watch`: the joints before carry link a, the others link b. `mechanism` is that of the whole prop.
    """

    prop: Prop
    pair: tuple[str, str]
    ways: Coordinates
    mechanism: Mechanism
    chain: Chain
    pieces: Solids
    piece_a: Index
    piece_b: Index
    corners: tuple[Array, ...]
    watch: int

    @property
    def box(self) -> Array:
        """The whole range of the coordinates that matter, (C, 2)."""
        return self.chain.own.span

    @property
    def trains(self) -> list[Train]:
        """The linkages of the drives that move anything here."""
        own = set(self.chain.drives)
        return [train for train in self.mechanism.trains if not own.isdisjoint(train.drives)]


def pair_model(
    prop: Prop, ways: Coordinates, watched: Watch, pair: tuple[str, str], mechanism: Mechanism | None = None
) -> PairModel:
    """What is needed to judge one pair of links of a prop. Who asks for many gives its `mechanism_of`."""
    chain = chain_between(prop, ways, *pair)
    parts = watched.parts
    a, b = (np.arange(parts.first[side], parts.first[side + 1]) for side in watched.sides_of(pair))
    pieces = _pieces_alone(parts, np.concatenate([a, b]))
    first, second = np.arange(len(a)), len(a) + np.arange(len(b))
    return PairModel(
        prop=replace(prop, text="", files={}),
        pair=pair,
        ways=ways,
        mechanism=mechanism_of(prop) if mechanism is None else mechanism,
        chain=chain,
        pieces=pieces,
        piece_a=np.repeat(first, len(b)),
        piece_b=np.tile(second, len(a)),
        corners=tuple(_corners_of(pieces, s) for s in range(len(a) + len(b))),
        watch=_best_watch(chain, pieces, len(a)),
    )


def _pieces_alone(parts: Solids, rows: Index) -> Solids:
    """These pieces, each as a link of its own."""
    count = len(rows)
    hull = parts.cores.hull[rows]
    used = np.unique(hull[hull != NO_HULL])
    cores = Cores(
        half=parts.cores.half[:, rows],
        disc=parts.cores.disc[rows],
        hull=np.where(hull != NO_HULL, np.searchsorted(used, hull), NO_HULL),
        corners=parts.cores.corners[used],
    )
    return Solids(
        links=tuple(parts.links[owner] for owner in parts.owner[rows]),
        owner=np.arange(count),
        first=np.arange(count + 1),
        rotation=parts.rotation[rows],
        centre=parts.centre[rows],
        radius=parts.radius[rows],
        reach=parts.reach[rows],
        cores=cores,
        findings=(),
    )


def _corners_of(pieces: Solids, s: int) -> Array:
    """Points (V, 3) [mm] in the frame of the link whose hull holds the core of piece s."""
    return np.asarray(pieces.centre[s] + core_corners(pieces, s) @ pieces.rotation[s].T)


def _best_watch(chain: Chain, pieces: Solids, count_a: int) -> int:
    """Where along the chain the levers to both links are shortest, over some poses spread over the range."""
    m = len(chain.joint)
    low, high = chain.own.span.T
    u = low + chances(TRIAL_POSES, len(low)) * (high - low)
    world_from_link, axes = chain_poses(chain, u)
    swing = np.ptp(joints_within(chain.own, low[None], high[None])[0], axis=1) * scale_of(chain)
    turns = turning(chain)
    levers = []
    for link, rows in ((chain.row_a, slice(0, count_a)), (chain.row_b, slice(count_a, None))):
        turn, at = world_from_link[:, link, :3, :3], world_from_link[:, link, :3, 3]
        centre = np.einsum("nij,sj->nsi", turn, pieces.centre[rows]) + at[:, None]
        aside = np.cross(axes.direction[:, :, None], centre[:, None] - axes.origin[:, :, None])
        lever = (np.linalg.norm(aside, axis=-1) + pieces.reach[rows]).max(axis=-1)
        levers.append(np.where(turns, lever, 1.0).mean(axis=0) * swing)
    return int(np.argmin([levers[0][:k].sum() + levers[1][k:].sum() for k in range(m + 1)]))


def turning(chain: Chain) -> Truth:
    """Which joints of the chain turn rather than slide, (m,)."""
    return np.array([chain.part.joints[column].type == "revolute" for column in chain.column], bool)


def scale_of(chain: Chain) -> Array:
    """Radians or mm for each unit of joint position, (m,)."""
    return np.where(turning(chain), np.pi / 180, 1.0)


def coordinates_of(model: PairModel, own: Array) -> Array:
    """All coordinates (N, D) of the prop where those that matter are `own` (N, C); the others in the middle."""
    u = np.repeat(model.ways.span.mean(axis=1)[None], len(own), axis=0)
    u[:, list(model.chain.drives)] = own
    return u


def poses_of(model: PairModel, own: Array) -> tuple[Array, Axes]:
    """The chain's links and axes at coordinates (N, C)."""
    return chain_poses(model.chain, own)


def relative_poses(model: PairModel, world_from_link: Array) -> Array:
    """Link b in the frame of link a; (N, L', 4, 4) of the chain's links to (N, 4, 4) mm."""
    return a_from_b(world_from_link[:, model.chain.row_a], world_from_link[:, model.chain.row_b])


def distance_at(model: PairModel, own: Array) -> Array:
    """Distance [mm] of the two links at coordinates (N, C); (N,), 0 where they touch or overlap."""
    return finished(distance_steps(model, poses_of(model, own)[0]))


def distance_steps(model: PairModel, world_from_link: Array) -> Generator[None, None, Array]:
    """Distance [mm] of the two links where the chain's links stand (N, L', 4, 4); (N,), 0 as above. In small steps."""
    N, M = len(world_from_link), len(model.piece_a)
    relative = np.repeat(relative_poses(model, world_from_link), M, axis=0)
    a, b = np.tile(model.piece_a, N), np.tile(model.piece_b, N)
    found = yield from separation_steps(model.pieces, a, b, relative, Asked(points=False))
    return np.asarray(found.upper.reshape(N, M).min(axis=1))
