"""A prop as the page shows it: every drive, joint and editable key, with where end points and stops lie."""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import PurePosixPath

from posekit.bridge import units, words
from posekit.bridge.key_views import field_views
from posekit.bridge.view_of_feeds import NOT_KNOWN, feed_views, receiver_fields
from posekit.bridge.views import (
    DriveView,
    FieldView,
    FindingView,
    JointView,
    LookView,
    PropView,
    ServoView,
)
from posekit.errors import Finding, PosekitError, bounded, kind_of
from posekit.linkage import LINKAGES
from posekit.mechanism.joints import Train, followers, linked, unit_of
from posekit.mechanism.pairs import possible_pairs
from posekit.mechanism.sweep import pressing_values, sweep_of
from posekit.prop.feeds import DEFAULT
from posekit.prop.folder import LOOKS, in_folder
from posekit.prop.model import Drive, Joint, Prop
from posekit.report.check import quick_check
from posekit.signal.calibration import servo_of
from posekit.signal.patch import patched
from posekit.signal.snapshot import Snapshot
from posekit.toml.places import dotted, parse
from posekit.transforms import unit


def prop_view(prop: Prop, values: dict[str, int], placed: Sequence[Train]) -> PropView:
    """The prop with its `trains`, to start from these values."""
    drives = drives_of_joints(prop)
    train_of = {d: train for train in placed for d in train.drives}
    return PropView(
        name=prop.name,
        text=prop.text,
        drives=tuple(_drive_view(prop, d, train_of[d]) for d in range(len(prop.drives))),
        joints=tuple(_joint_view(joint, drives[joint.name]) for joint in prop.joints),
        links=tuple(link.name for link in prop.links),
        servos=tuple(
            ServoView(servo.name, tuple(field_views(servo, dotted(("servos", servo.name)))))
            for servo in prop.servos
        ),
        feeds=feed_views(prop),
        receiver=receiver_fields(prop),
        pairs=tuple(possible_pairs(prop)),
        margin_mm=prop.clearance.margin,
        looks=_stored_looks(prop),
        values=values,
        findings=finding_views(prop, quick_check(prop)),
        drawn=_drawn(prop),
    )


def _drawn(prop: Prop) -> str:
    """What tells one look of the parts from another: their names, their shapes, what is in their files."""
    looks = [(link.name, [shape for shape in link.shapes if shape.drawn]) for link in prop.links]
    files = {path for _, shapes in looks for shape in shapes for _, path in shape.form.names()}
    inside = [(path, zlib.crc32(prop.files.get(path, b""))) for path in sorted(files)]
    return f"{zlib.crc32(repr((looks, inside)).encode()):08x}"


def _drive_view(prop: Prop, d: int, train: Train) -> DriveView:
    """The drive in column `d`, with the end positions of its joint and the values that keep it off its stops."""
    drive, servo = prop.drives[d], servo_of(prop, prop.drives[d])
    j = train.joints[train.drives.index(d)]
    sweep = sweep_of(prop, train, d)
    ends = dict(zip(sweep.moved, map(tuple, sweep.wanted[[0, -1]].T.tolist()), strict=True))
    return DriveView(
        name=drive.name,
        path=dotted(("drives", drive.name)),
        servo=drive.servo,
        joint=prop.joints[j].name,
        linkage=next(name for name, kind in LINKAGES.items() if isinstance(drive.linkage, kind)),
        patch=_patch_text(drive),
        universe=drive.universe,
        address=drive.address,
        bits=drive.bits,
        full_scale=drive.full_scale,
        middle=drive.middle,
        rest=drive.rest_value,
        pulse_low=drive.pulse.low,
        pulse_high=drive.pulse.high,
        pulse_trim=drive.pulse.trim,
        pulse_range=servo.pulse_range,
        joint_at_end_points=ends.get(j, (0.0, 0.0)),
        blocked=tuple(
            (low / drive.full_scale, high / drive.full_scale) for low, high in pressing_values(prop, sweep)
        ),
        steps={unit: units.step(drive, unit) for unit in units.UNITS},
        fields=tuple(_drive_fields(prop, drive)),
    )


def _patch_text(drive: Drive) -> str:
    """Where a drive is patched, in words."""
    if drive.bits == 16:
        return f"universe {drive.universe}, addresses {drive.address} and {drive.address + 1}"
    return f"universe {drive.universe}, address {drive.address}"


def _joint_view(joint: Joint, drives: tuple[str, ...]) -> JointView:
    """A moving joint, with the names of the drives that move it."""
    x, y, z = unit(joint.axis)
    return JointView(
        name=joint.name,
        type="prismatic" if joint.type == "prismatic" else "revolute",
        unit="mm" if unit_of(joint) == "mm" else "deg",
        parent=joint.parent,
        child=joint.child,
        stops=joint.stops,
        drives=drives,
        axis=(float(x), float(y), float(z)),
    )


def drives_of_joints(prop: Prop) -> dict[str, tuple[str, ...]]:
    """The drives that move each joint, through its leader where it follows one."""
    found: dict[str, tuple[str, ...]] = {joint.name: () for joint in prop.joints}
    for drives, joints in linked(prop):
        for j in joints:
            found[prop.joints[j].name] = tuple(prop.drives[d].name for d in drives)
    for follower, leader in followers(prop):
        found[prop.joints[follower].name] = found[prop.joints[leader].name]
    return found


def _drive_fields(prop: Prop, drive: Drive) -> Iterator[FieldView]:
    """The keys of a drive that can be edited: its own, its pulses, the dimensions of its linkage."""
    place = dotted(("drives", drive.name))
    names = {
        f"{place}.servo": tuple(servo.name for servo in prop.servos),
        f"{place}.joint": tuple(joint.name for joint in prop.joints),
        f"{place}.supply": ("", *(supply.name for supply in prop.supplies)),
    }
    unset = {
        f"{place}.supply": DEFAULT if prop.supply else "nothing feeds it",
        f"{place}.on_loss": f"as the receiver: {prop.receiver.on_loss or NOT_KNOWN}",
    }
    for view in field_views(drive, place):
        if view.path == f"{place}.supply" and not prop.supplies:
            continue  # one supply feeds all
        yield replace(
            view,
            choices=names.get(view.path, view.choices),
            named=view.path in names,
            unset=unset.get(view.path, view.unset),
        )
    yield from field_views(drive.pulse, f"{place}.pulse", ("pulse",))
    joint = next((each for each in prop.joints if each.name == drive.joint), None)
    yield from field_views(drive.linkage, f"{place}.linkage", joint=joint)


def _stored_looks(prop: Prop) -> tuple[LookView, ...]:
    """The looks of a prop that can be read; a check tells what is wrong with the others."""
    looks: list[LookView] = []
    for name, file in in_folder(prop.files, LOOKS).items():
        with suppress(PosekitError):
            snapshot = Snapshot.decode(prop.files[file], PurePosixPath(file).suffix, file)
            looks.append(LookView(name, file, named(prop, patched(prop, snapshot)[0])))
    return tuple(looks)


def named(prop: Prop, values: Iterable[float]) -> dict[str, int]:
    """Values (D,) by the name of their drive."""
    return {drive.name: round(value) for drive, value in zip(prop.drives, values, strict=True)}


def finding_views(prop: Prop, findings: Iterable[Finding]) -> tuple[FindingView, ...]:
    """Findings, each with the drive whose row it belongs to."""
    told = bounded(findings)
    if not told:
        return ()  # as of most poses, which are asked for sixty times a second
    drives = {name: found[0] for name, found in drives_of_joints(prop).items() if found}
    drives |= {drive.name: drive.name for drive in prop.drives}
    return tuple(finding_view(each, drives.get(_part_of(each.subject))) for each in told)


def finding_view(finding: Finding, drive: str | None = None) -> FindingView:
    """A finding, with the drive whose row it belongs to."""
    return FindingView(
        level=finding.level,
        code=finding.code,
        subject=finding.subject,
        message=finding.message,
        text=words.text(finding),
        alone=words.asked(finding.alone),
        place=words.place(finding.subject),
        kind=kind_of(finding),
        drive=drive,
        file=finding.file,
        line=finding.line,
    )


def _part_of(subject: str) -> str:
    """The drive or joint that a subject speaks of, by its name or its key path."""
    match parse(subject):
        case ("drives" | "joints", str(name), *_):
            return name
    return subject
