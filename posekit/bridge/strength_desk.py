"""What can be asked of strength and supply: each public method of `StrengthDesk` is one request of the page."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import takewhile
from math import isfinite

from posekit import kinds
from posekit.bridge.overtaking import newest_wins
from posekit.bridge.steps import Steps
from posekit.bridge.strength_views import (
    HeldView,
    MovingView,
    ProofView,
    StrengthView,
    SupplyView,
    WorstView,
)
from posekit.bridge.view_of_prop import finding_views, named
from posekit.bridge.views import Values
from posekit.bridge.workbench import Workbench, row
from posekit.errors import Finding, PosekitError, error
from posekit.prop.model import Prop
from posekit.report.check import quick_check
from posekit.report.feeding_told import unknown_findings
from posekit.report.held import SCALE, STRAINS, Load, load_of, most_strained
from posekit.report.power import CAUTION, PowerReport, PowerState, power_steps
from posekit.report.stall import drive_volts, ratings_of
from posekit.report.strength import DrivePower, others_tell
from posekit.report.supply_words import supply_figures
from posekit.statics.burden import Burden, burden_of
from posekit.statics.dynamics import torques
from posekit.statics.ratings import Rating, rating_findings
from posekit.statics.shafts import Rates, by_rates, rates_since
from posekit.statics.worst import Holding
from posekit.stream import Show, read_show

SERVO_S = 15.0  # for the proof of one servo: a page that waits for longer seems to stand still
SUPPLY = ("supply", "supplies")  # where a finding stands that is about what feeds the servos


@dataclass(frozen=True, slots=True)
class _Loaded:
    """A prop with what all its poses have in common for strength."""

    prop: Prop
    burden: Burden
    able: tuple[Rating, ...]


@dataclass(slots=True)
class _Proof:
    """A proof that is being made, and how far it is; `since` [s] it is at one servo, or one part of the show."""

    of: Prop
    able: tuple[Rating, ...]
    burden: Burden | None
    view: ProofView
    holding: tuple[Holding, ...]
    show: Show | None
    steps: Steps[PowerState, PowerReport] = field(init=False)
    at: PowerState | None = None
    since: float = field(default_factory=time.monotonic)

    def __post_init__(self) -> None:
        self.steps = Steps(
            lambda: power_steps(
                self.of, self.show, self.holding, self.too_long, lambda: self.view.stopped, self.burden
            )
        )

    def go_on(self) -> PowerState:
        """The next step. StopIteration with the report."""
        before, self.at = self.at, self.steps.go_on()
        if self.at != before:
            self.since = time.monotonic()
        return self.at

    def too_long(self) -> bool:
        """Whether the servo has to come to its end."""
        return self.view.stopped or time.monotonic() - self.since > SERVO_S


class StrengthDesk:
    """What the servos of the prop on a workbench have to hold: in a pose, and at most, proved."""

    def __init__(self, workbench: Workbench) -> None:
        self._workbench = workbench
        self._last: _Loaded | None = None
        self._rates: Rates | None = None
        self._proof: _Proof | None = None

    def strength(self) -> StrengthView:
        """What is the same for all poses of the prop: stall torques, cautions, what its file does not say."""
        loaded = self._loaded()
        prop = loaded.prop
        supply = [each for each in quick_check(prop) if _of_supply(each)]
        return StrengthView(
            volts=tuple(each.volts for each in loaded.able),
            stall_nm=tuple(each.stall_nm for each in loaded.able),
            scale=SCALE,
            strains=STRAINS,
            caution=CAUTION,
            dangers=finding_views(prop, [each for each in supply if each.level == "error"]),
            cautions=finding_views(
                prop,
                [
                    *(each for each in supply if each.level != "error"),
                    *rating_findings(prop, drive_volts(prop)),
                ],
            ),
            missing=finding_views(prop, unknown_findings(prop)),
        )

    @newest_wins
    def held(self, values: Values) -> HeldView:
        """What gravity, loads and springs ask of each servo at these values."""
        # All this goes between two poses, so only what differs from the last time is found: a channel that is moved
        # turns one linkage, and the pose itself is known.
        loaded = self._loaded()
        solved = self._workbench.posed(row(loaded.prop, values)).solved
        self._rates = rates_since(loaded.burden, solved.held, self._rates)
        asked = torques(loaded.prop, solved.position, loaded.burden)
        at_shafts = by_rates(loaded.prop, loaded.burden, asked, self._rates.rate)[0]
        loads = tuple(
            load_of(torque, each.stall_nm)
            for torque, each in zip(at_shafts.tolist(), loaded.able, strict=True)
        )
        return HeldView(loads, _name(loaded.prop, loads))

    def prove(self, show: str | None = None, data: bytes | None = None) -> ProofView:
        """Begin to prove the most that each servo has to hold; over a show, too: one of the prop's, or its bytes.

        What was proved of the prop before, as for another show, is not proved again.
        """
        prop = self._workbench.prop
        read = None if show is None else _read(prop, show, data)
        known = self._proof.holding if self._proof is not None and self._proof.of is prop else ()
        whole = tuple(takewhile(lambda each: not each.cut, known))
        burden = self._last.burden if self._last is not None and self._last.prop is prop else None
        count = len(prop.drives)
        view = ProofView("proving", (), count, 0.0, show, False, None, None, (), ())
        self._proof = _Proof(prop, tuple(ratings_of(prop)), burden, view, whole, read)
        return self.prove_on(0.0)

    def prove_on(self, seconds: float) -> ProofView:
        """Go on with the proof for about so long; at least by one step."""
        proof, end = self._proving(), time.monotonic() + seconds
        # Ends: with the steps, of which each servo and each part of the show has so many.
        while True:
            try:
                state = proof.go_on()
            except StopIteration as finished:
                proof.view = _done(proof.view, finished.value)
                return proof.view
            except PosekitError:
                self._proof = None  # what has raised has ended
                raise
            proof.holding = state.holding
            if time.monotonic() >= end:
                proof.view = _so_far(proof, state)
                return proof.view

    def prove_stop(self) -> ProofView:
        """Bring the proof to its end: what is known by now stands; a show not looked through is left out."""
        proof = self._proving()
        proof.view = replace(proof.view, stopped=True)
        return self.prove_on(0.0)

    def _loaded(self) -> _Loaded:
        prop = self._workbench.prop
        if self._last is None or self._last.prop is not prop:
            self._last = _Loaded(prop, burden_of(prop), tuple(ratings_of(prop)))
            self._rates = None
        return self._last

    def _proving(self) -> _Proof:
        if self._proof is None or self._proof.view.phase == "done":
            raise PosekitError([error("no-proof", "", "no proof has been started")])
        return self._proof


def _of_supply(finding: Finding) -> bool:
    return finding.subject.split(".")[0] in SUPPLY or finding.code == "no-supply"


def _read(prop: Prop, name: str, data: bytes | None) -> Show:
    if kinds.ending(name) in kinds.CAPTURES:
        import dpkt  # noqa: F401  (asked for here, where a page that lacks it is told to fetch it)
    content = prop.files.get(name) if data is None else data
    if content is None:
        raise PosekitError([error("no-show", name, "is not a show of this prop")])
    return read_show(prop, content, name)


def _so_far(proof: _Proof, state: PowerState) -> ProofView:
    prop = proof.of
    drives = tuple(_worst(prop, *each) for each in zip(state.holding, proof.able, strict=False))
    worst = _name(prop, tuple(each.most for each in drives))
    if len(drives) < len(prop.drives):
        return replace(
            proof.view, phase="proving", drives=drives, worst=worst, share=len(drives) / len(prop.drives)
        )
    if state.to_help:
        share = state.helped / state.to_help
        return replace(proof.view, phase="helping", drives=drives, worst=worst, share=share)
    return replace(proof.view, phase="moving", drives=drives, worst=worst, share=state.moved)


def _done(view: ProofView, report: PowerReport) -> ProofView:
    prop = report.prop
    drives = tuple(_told(prop, each) for each in report.drives)
    return replace(
        view,
        phase="done",
        share=1.0,
        show=None if report.show is None else view.show,
        drives=drives,
        worst=_name(prop, tuple(each.most for each in drives)),
        hardest=_name(prop, tuple(each.moving.peak for each in drives if each.moving)),
        supplies=tuple(
            SupplyView(name, tuple(row for row in supply_figures(supply).items() if row[1]))
            for name, supply in report.supplies.items()
        ),
        findings=finding_views(prop, report.findings),
    )


def _told(prop: Prop, each: DrivePower) -> WorstView:
    moving, stall = None, each.rating.stall_nm
    if each.peak_nm is not None and each.peak_at_s is not None and each.rms_nm is not None:
        moving = MovingView(load_of(each.peak_nm, stall), each.peak_at_s, load_of(each.rms_nm, stall))
    worst = _worst(prop, each.holding, each.rating)
    return replace(worst, may_sleep=each.may_sleep, moving=moving)


def _worst(prop: Prop, holding: Holding, able: Rating) -> WorstView:
    return WorstView(
        drive=holding.drive,
        stall_nm=able.stall_nm,
        most=load_of(holding.most_nm, able.stall_nm),
        found_nm=abs(holding.found_nm) if isfinite(holding.found_nm) else None,
        alone_nm=holding.alone_nm if isfinite(holding.alone_nm) else None,
        others_tell=others_tell(holding),
        near=holding.tight,
        cut=holding.cut,
        values=named(prop, holding.values),
        may_sleep=None,
        moving=None,
    )


def _name(prop: Prop, loads: Sequence[Load]) -> str | None:
    """The drive that is nearest to its stall torque."""
    at = most_strained(loads)
    return None if at is None else prop.drives[at].name
