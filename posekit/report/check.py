"""What a prop has to tell before any snapshot: one list, the same for the library, the command line and the page."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import PurePosixPath
from typing import TYPE_CHECKING

from posekit.errors import Finding, PosekitError, bounded
from posekit.mechanism.pairs import Pair
from posekit.mechanism.plausible import figure_findings, place_findings
from posekit.mechanism.range_check import LinkageReport, linkage_reports, range_findings
from posekit.mechanism.supply_check import current_findings
from posekit.prop.folder import LOOKS, in_folder
from posekit.prop.model import Prop
from posekit.prop.notes import kept_notes
from posekit.report.stall import stall_currents, strength_findings, volts_left
from posekit.signal.snapshot import Snapshot
from posekit.toml.told import in_file

if TYPE_CHECKING:
    from posekit.clearance.left_out import LeftOut
    from posekit.mechanism.mass import LinkMass

# What `quick_check` leaves out, for whoever shows its findings.
UNSEEN = (
    "Not looked at here: meshes, masses, and whether parts strike at the end points. posekit check tells, and posekit "
    "envelope of all values"
)


@dataclass(frozen=True, slots=True)
class CheckReport:
    """A prop over everything that its end points allow.

    `linkages` are all of them, a joint each, in the order of the drives; `masses` go by link, and are empty where a
    mesh cannot be read, which `findings` then tell; so are `pairs`, which clearance judges, and `left_out`, what it
    does not. `findings` are those of `check`.
    """

    linkages: tuple[LinkageReport, ...]
    masses: Mapping[str, LinkMass]
    pairs: tuple[Pair, ...]
    left_out: tuple[LeftOut, ...]
    findings: tuple[Finding, ...]


def check(prop: Prop, file: str | None = None) -> list[Finding]:
    """Everything there is to tell about a prop over all its values, in the order in which a prop is built:
    mechanism, looks, masses, places, meshes, strikes, strength.

    `file` is how messages call its prop file. Reads the meshes, which takes longer than a pose. What several
    drives do together only the envelope can tell. Strength is tried at rest and at the ends only, so that
    `power_report`, which looks at all poses, may find more.
    """
    return _told(prop, [*_mechanism(prop), *_shapes(prop)], file)


def quick_check(prop: Prop, file: str | None = None) -> list[Finding]:
    """The beginning of `check`, which needs no mesh: quick enough to ask for after every change."""
    return _told(prop, _mechanism(prop), file)


def check_report(prop: Prop, file: str | None = None) -> CheckReport:
    """`check`, with what it looked at."""
    from posekit.clearance.watch import watch
    from posekit.mechanism.mass import masses

    found = check(prop, file)
    try:
        weights = dict(zip((link.name for link in prop.links), masses(prop), strict=True))
    except PosekitError:  # stands among the findings
        weights = {}
    try:
        watched = watch(prop)
        pairs, left_out = watched.pairs, watched.left_out
    except PosekitError:  # likewise
        pairs, left_out = (), ()
    return CheckReport(tuple(linkage_reports(prop)), weights, pairs, left_out, tuple(found))


def _told(prop: Prop, found: Iterable[Finding], file: str | None) -> list[Finding]:
    # One mesh that cannot be read stops several questions, and is told once.
    return list(bounded(in_file(dict.fromkeys(found), prop.text, file)))


def _mechanism(prop: Prop) -> list[Finding]:
    return [
        *range_findings(prop, volts_left(prop)),
        *current_findings(prop, stall_currents(prop)),
        *figure_findings(prop),
        *_looks(prop),
        *_notes(prop),
    ]


def _shapes(prop: Prop) -> list[Finding]:
    # When they are needed: a page, which asks for the rest of this module at once, is ready the sooner.
    from posekit.clearance.cover import shape_findings
    from posekit.clearance.end_points import end_point_findings
    from posekit.clearance.watch import bearing_findings, watch
    from posekit.mechanism.mass import mass_findings

    found = [*_findings_of(lambda: mass_findings(prop)), *_findings_of(lambda: place_findings(prop))]
    try:
        watched = watch(prop)
    except PosekitError as refused:
        return [*found, *refused.findings]
    return [
        *found,
        *_findings_of(lambda: shape_findings(prop, watched.parts)),
        *_findings_of(lambda: end_point_findings(prop, watched)),
        *_findings_of(lambda: strength_findings(prop)),
        *bearing_findings(watched),
    ]


def _looks(prop: Prop) -> list[Finding]:
    """Why looks that are kept with the prop cannot be used."""
    found: list[Finding] = []
    for path in in_folder(prop.files, LOOKS).values():
        try:
            Snapshot.decode(prop.files[path], PurePosixPath(path).suffix, path)
        except PosekitError as refused:
            found += refused.findings
    return found


def _notes(prop: Prop) -> list[Finding]:
    """Why the notes that are kept with the prop cannot be read; the figure is none the worse for it."""
    try:
        kept_notes(prop)
    except PosekitError as refused:
        return [replace(finding, level="warning") for finding in refused.findings]
    return []


def _findings_of(ask: Callable[[], list[Finding]]) -> list[Finding]:
    """What a question finds, or why it could not be asked."""
    try:
        return ask()
    except PosekitError as refused:
        return list(refused.findings)
