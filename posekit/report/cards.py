"""Setting cards: for whoever stands at the prop with a knob and no figures, what to look at and what to time.

For each drive its joint at low, middle and high as seen along the axis, what comes first past each end, and times.
"""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from posekit.arrays import Array
from posekit.clearance.beyond import Beyond, beyond
from posekit.clearance.left_out import LeftOut
from posekit.clearance.watch import Watch, watch
from posekit.errors import Finding, bounded
from posekit.mechanism.joints import mechanism_of, moved_by, solve, unit_of
from posekit.prop.model import Prop
from posekit.report.sheet import Calibrated, Sheet, sheet
from posekit.report.side_view import SideView, drawn, side_view
from posekit.report.steps import NearestStep, TimedStep, nearest_steps
from posekit.signal.calibration import pulses, shafts
from posekit.stepwise import finished


@dataclass(frozen=True, slots=True)
class SettingCard:
    """One drive: `view` is its joint at middle, low and high; `positions` [deg | mm] are those of low, middle, high."""

    drive: str
    output: int
    joint: str
    unit: str
    view: SideView
    pulses_us: tuple[float, float, float]
    positions: tuple[float, float, float]
    ends: tuple[Beyond, Beyond]
    setting: Calibrated
    steps: tuple[NearestStep, ...]


@dataclass(frozen=True, slots=True)
class Cards:
    """The cards of a prop, what of its parts was looked at, and all there is to tell."""

    sheet: Sheet
    cards: tuple[SettingCard, ...]
    pairs: int
    left_out: tuple[LeftOut, ...]
    findings: tuple[Finding, ...]

    def as_dict(self) -> dict[str, Any]:
        """The cards without their pictures, as the command line prints them."""
        return {
            "prop": self.sheet.prop,
            "fingerprint": self.sheet.fingerprint,
            "cards": [
                {
                    "drive": card.drive,
                    "output": card.output,
                    "joint": card.joint,
                    "unit": card.unit,
                    "seen_from": card.view.seen_from,
                    "pulses_us": card.pulses_us,
                    "positions": card.positions,
                    "ends": [asdict(end) for end in card.ends],
                    "times": asdict(card.setting.times),
                    "steps": [asdict(step) for step in card.steps],
                }
                for card in self.cards
            ],
            "pairs": self.pairs,
            "left_out": [each.as_dict() for each in self.left_out],
            "findings": [finding.as_dict() for finding in self.findings],
        }


def cards(prop: Prop, measured: Sequence[TimedStep] = (), file: str | None = None) -> Cards:
    """The setting cards of a prop; `measured` are times at steps of the controller, `file` is as for `sheet`.

    Raises PosekitError for a mesh that cannot be used.
    """
    return finished(card_steps(prop, measured, file=file))


def card_steps(
    prop: Prop, measured: Sequence[TimedStep] = (), watched: Watch | None = None, file: str | None = None
) -> Generator[int, None, Cards]:
    """`cards`, and on the way how many are made, for whoever shows progress; `watched` is the `watch` of the prop."""
    steps, found = nearest_steps(prop, measured)
    made, looked, triangles = sheet(prop, file), watched or watch(prop), drawn(prop)
    done: list[SettingCard] = []
    for d in range(len(prop.drives)):
        yield d
        view = side_view(prop, triangles, prop.joints[moved_by(prop, d)[0]], _positions(prop, d))
        done.append(_card(prop, d, made, beyond(prop, looked, d), view, steps))
    return Cards(
        sheet=made,
        cards=tuple(done),
        pairs=len(looked.pairs),
        left_out=looked.left_out,
        findings=bounded([*made.findings, *found]),
    )


def _card(
    prop: Prop,
    d: int,
    made: Sheet,
    ends: tuple[Beyond, Beyond],
    view: SideView,
    steps: tuple[NearestStep, ...],
) -> SettingCard:
    drive, setting = prop.drives[d], made.drives[d]
    joint = prop.joints[moved_by(prop, d)[0]]
    way, pulse = setting.ways[0].positions, setting.pulses_us
    return SettingCard(
        drive=drive.name,
        output=made.outlets[d].output,
        joint=joint.name,
        unit=unit_of(joint),
        view=view,
        pulses_us=(pulse[0], pulse[2], pulse[4]),
        positions=(way[0], way[2], way[4]),
        ends=ends,
        setting=setting,
        steps=tuple(step for step in steps if step.drive == drive.name),
    )


def _positions(prop: Prop, d: int) -> Array:
    """Joint positions (3, J) with drive `d` at middle, low and high, all others at rest."""
    rows = np.tile([float(drive.rest_value) for drive in prop.drives], (3, 1))
    rows[:, d] = [prop.drives[d].middle, 0, prop.drives[d].full_scale]
    return solve(prop, shafts(prop, pulses(prop, rows)), mechanism_of(prop)).position
