"""Which supply feeds which drives."""

from __future__ import annotations

from dataclasses import dataclass

from posekit.prop.model import Drive, Prop, Supply
from posekit.toml.places import Path

DEFAULT = "supply"  # how that is called which feeds whatever names no other


@dataclass(frozen=True, slots=True)
class Feed:
    """A supply and the columns of the drives that it feeds, in their order.

    `supply` is None for drives that name none in a file without [supply]. `path` is its place in the file.
    """

    name: str
    supply: Supply | None
    drives: tuple[int, ...]
    path: Path


def supply_of(prop: Prop, drive: Drive) -> Supply | None:
    """The supply that feeds a drive; None where nothing does."""
    if drive.supply is None:
        return prop.supply
    return next(supply for supply in prop.supplies if supply.name == drive.supply)


def feeds(prop: Prop) -> tuple[Feed, ...]:
    """First what feeds the drives that name no supply, then the [supplies] in the order of the file.

    The first is left out where each drive names another and there is no [supply].
    """
    by_name: dict[str | None, list[int]] = {}
    for d, drive in enumerate(prop.drives):
        by_name.setdefault(drive.supply, []).append(d)
    others = tuple(
        Feed(supply.name, supply, tuple(by_name.get(supply.name, ())), ("supplies", supply.name))
        for supply in prop.supplies
    )
    first = Feed(DEFAULT, prop.supply, tuple(by_name.get(None, ())), (DEFAULT,))
    return others if others and prop.supply is None and not first.drives else (first, *others)
