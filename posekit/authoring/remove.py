"""A part taken out of a prop: what goes with it or is left hanging is said first, and takes a word to go, too."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from posekit.authoring.parts import Kind, must_be_there, rewritten, shape_of, subtree
from posekit.authoring.references import cues_with_drive
from posekit.errors import PosekitError, error
from posekit.mechanism.tree import root_link
from posekit.prop.model import Prop
from posekit.prop.placing import joints_moved, partners
from posekit.textfile import decoded
from posekit.toml import editing
from posekit.toml.places import Path, dotted


@dataclass(frozen=True, slots=True)
class Affected:
    """One thing that goes with a part or loses what it names: a key path, in a file beside the prop file or in that,
    and why.
    """

    path: Path
    why: str
    file: str | None = None

    def __str__(self) -> str:
        """As people are told it."""
        return f"{f'{self.file}: ' if self.file else ''}{dotted(self.path)} ({self.why})"


@dataclass(slots=True)
class _Falling:
    """The parts that go, each with the reason, in the order they are found."""

    whys: dict[tuple[Kind, str], str] = field(default_factory=dict)

    def add(self, kind: Kind, name: str, why: str) -> None:
        self.whys.setdefault((kind, name), why)

    def names(self, kind: Kind) -> set[str]:
        return {name for each, name in self.whys if each == kind}


def goes_with(prop: Prop, kind: Kind, name: str) -> tuple[Affected, ...]:
    """All that goes with a part of a prop, or names it and would name nothing: parts first, then keys.

    A link takes its joint and all that hangs on it, a joint its link, either the drives that move them, a drive those
    that share its linkage, a servo type its drives. Drives of a supply are fed by [supply] from then on. A joint that
    follows one that goes is left without a leader; loads, springs, pairs of `ignore` and values in cues go. Raises
    PosekitError for a part that is not there.
    """
    must_be_there(prop, kind, name)
    falling = _Falling()
    falling.add(kind, name, "")
    _spread(prop, falling, kind, name)
    parts = [Affected(path, why) for path, why in falling.whys.items() if path != (kind, name)]
    return (*parts, *_keys(prop, falling))


def remove(prop: Prop, kind: Kind, name: str, *, with_all: bool = False) -> Prop:
    """The prop without a part. Where more goes with it (`goes_with`) that is refused, unless `with_all` says so.

    Files beside the prop stay, meshes too. Raises PosekitError.
    """
    if kind == "links" and name == root_link(prop):
        sentence = "carries all other parts, so nothing would be left; remove others, or begin a new prop"
        raise PosekitError([error("is-root", dotted((kind, name)), sentence)])
    affected = goes_with(prop, kind, name)
    if affected and not with_all:
        found = "; ".join(str(each) for each in affected)
        sentence = f"is not alone: with it would go {found}. Say with-all to take all of it out, or change these first"
        raise PosekitError([error("not-alone", dotted((kind, name)), sentence)])
    paths = [(kind, name), *(each.path for each in affected if each.file is None)]
    files = dict(prop.files)
    for each in affected:
        if each.file is not None:
            files[each.file] = editing.remove(decoded(files[each.file], each.file), each.path).encode()
    return rewritten(prop, editing.remove(prop.text, *paths), files)


def remove_shape(prop: Prop, link: str, number: int) -> Prop:
    """The prop without a shape of a link, by its number from 0; its mesh stays beside the prop. Raises PosekitError."""
    shape_of(prop, link, number)
    return rewritten(prop, editing.remove(prop.text, ("links", link, "shapes", number)))


def _spread(prop: Prop, falling: _Falling, kind: Kind, name: str) -> None:
    """Add what goes with the first part that does."""
    joints = (*prop.joints, *prop.fixed)
    top = next((joint.child for joint in joints if kind == "joints" and joint.name == name), name)
    if kind in ("links", "joints"):
        gone = subtree(prop, top)
        for link in gone:
            for joint in joints:
                if joint.child == link:
                    falling.add("joints", joint.name, f"carries '{link}'")
                    falling.add("links", link, f"hangs on joint '{joint.name}'")
    moved = falling.names("joints")
    for drive in prop.drives:
        for _, own in joints_moved(drive):
            if own in moved:
                falling.add("drives", drive.name, f"moves '{own}'")
        if drive.joint in moved:
            falling.add("drives", drive.name, f"moves '{drive.joint}'")
        if kind == "servos" and drive.servo == name:
            falling.add("drives", drive.name, f"is a servo of type '{name}'")
    for drive in prop.drives:
        shared = {drive.name, *partners(drive.linkage)}
        if len(shared) > 1 and shared & falling.names("drives"):
            for each in sorted(shared):
                falling.add("drives", each, f"shares the linkage of '{drive.name}'")


def _keys(prop: Prop, falling: _Falling) -> Iterator[Affected]:
    """What stays and names a part that goes."""
    gone_joints, gone_links = falling.names("joints"), falling.names("links")
    for drive in prop.drives:
        if drive.supply in falling.names("supplies"):
            left = "[supply] would feed it" if prop.supply else "nothing would feed it"
            yield Affected(("drives", drive.name, "supply"), f"is fed by '{drive.supply}'; {left}")
    for joint in prop.joints:
        if joint.follow and joint.follow.joint in gone_joints and joint.name not in gone_joints:
            yield Affected(
                ("joints", joint.name, "follow"), f"follows '{joint.follow.joint}'; it would stand still"
            )
    for number, pair in enumerate(prop.clearance.ignore):
        if gone_links & set(pair):
            yield Affected(("clearance", "ignore", number), f"the pair {pair[0]} and {pair[1]}")
    for load in prop.loads:
        if load.link in gone_links:
            yield Affected(("loads", load.name), f"is carried by '{load.link}'")
    for spring in prop.springs:
        if gone := next((end for end in (spring.link, spring.other) if end in gone_links), ""):
            yield Affected(("springs", spring.name), f"is hooked to '{gone}'")
    for gone_drive in sorted(falling.names("drives")):
        for file, paths in cues_with_drive(prop, gone_drive).items():
            yield from (Affected(path, f"a value for '{gone_drive}'", file) for path in paths)
