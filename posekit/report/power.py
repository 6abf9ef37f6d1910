"""Whether the servos of a prop are strong enough, and what its supply has to give: at rest, and over a show."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import asdict, dataclass
from math import isfinite
from typing import Any

from posekit.errors import Finding, note
from posekit.mechanism.range_check import supply_findings
from posekit.motion.follow import follow
from posekit.prop.model import Prop
from posekit.report.feeding import SupplyPower, feeding_findings, supply_power, unknown_findings
from posekit.report.stall import servo_volts
from posekit.report.strength import (
    DrivePower,
    drives_power,
    following_findings,
    helped,
    holding_findings,
)
from posekit.signal.calibration import servo_of
from posekit.statics.boxes import question
from posekit.statics.burden import burden_of
from posekit.statics.over_show import torque_steps
from posekit.statics.ratings import rating, rating_findings
from posekit.statics.shafts import efficiencies
from posekit.statics.ways import ways_of
from posekit.statics.worst import Holding, worst_of
from posekit.stream.show import Show

CAUTION = (
    "These are figures of a model, for a person who decides: local codes and a licensed practitioner come first. "
    "Fuse each group, and keep hands away: a servo without power lets go of its load."
)


@dataclass(frozen=True, slots=True)
class PowerReport:
    """Strength and supply of a prop. `drives` are in the order of the prop; `findings` end with a caution."""

    prop: Prop
    show: Show | None
    supply: SupplyPower
    drives: tuple[DrivePower, ...]
    findings: tuple[Finding, ...]

    def as_dict(self) -> dict[str, Any]:
        """The report as the command line prints it. What is not known, or has no bound, is null."""
        names = [drive.name for drive in self.prop.drives]
        return {
            "prop": self.prop.name,
            "supply": asdict(self.supply),
            "drives": {
                each.holding.drive: {
                    "holding_nm": _finite(each.holding.most_nm),
                    "holding_values": dict(zip(names, each.holding.values, strict=True)),
                    "holding_found_nm": _finite(abs(each.holding.found_nm)),
                    "stall_nm": each.rating.stall_nm,
                    "share": _finite(each.share),
                    "may_sleep": each.may_sleep,
                    "peak_nm": _finite(each.peak_nm),
                    "rms_nm": _finite(each.rms_nm),
                }
                for each in self.drives
            },
            "findings": [finding.as_dict() for finding in self.findings],
        }


@dataclass(frozen=True, slots=True)
class PowerState:
    """How far a report is: what is proved of the servos so far, in their order, and the share of the show looked at."""

    holding: tuple[Holding, ...]
    moved: float


def power_report(prop: Prop, show: Show | None = None) -> PowerReport:
    """All there is to tell of the strength of a prop, and of its supply; with a show, over that too.

    PosekitError for a mesh that cannot be read, and where the prop takes days to rest.
    """
    steps = power_steps(prop, show)
    # Ends: with the servos and the show, of which each round takes one, or a part.
    while True:
        try:
            next(steps)
        except StopIteration as end:
            report: PowerReport = end.value
            return report


def power_steps(
    prop: Prop, show: Show | None = None, known: tuple[Holding, ...] = ()
) -> Generator[PowerState, None, PowerReport]:
    """The same in steps, a servo each, then parts of the show; `known` are the first servos, proved before."""
    burden = burden_of(prop)
    ways = ways_of(prop, burden)
    holding = known
    for d in range(len(known), len(prop.drives)):
        yield PowerState(holding, 0.0)
        holding = (*holding, worst_of(question(prop, ways, d)))
    volts = servo_volts(prop)
    ratings = [rating(servo_of(prop, drive), volts) for drive in prop.drives]
    motion, over = None, None
    if show is not None:
        yield PowerState(holding, 0.0)
        motion = follow(prop, show.times, show.values)
        moving = torque_steps(prop, motion, burden)
        # Ends: with the show, of which each round takes a part.
        while over is None:
            try:
                yield PowerState(holding, next(moving))
            except StopIteration as end:
                over = end.value
    drives = drives_power(prop, holding, ratings, efficiencies(prop, burden.mechanism), over)
    help_ = helped(prop, ways, drives)
    supply = supply_power(prop, drives, volts, over)
    findings = [
        *supply_findings(prop, volts),
        *rating_findings(prop, volts),
        *(show.findings if show else ()),
        *(
            finding
            for d, each in enumerate(drives)
            for finding in holding_findings(prop, d, each, help_.get(d, ""))
        ),
        *(following_findings(prop, ratings, motion, over) if motion and over else ()),
        *feeding_findings(prop, supply),
        *unknown_findings(prop),
        note("local-codes", "", CAUTION),
    ]
    return PowerReport(prop, show, supply, drives, tuple(dict.fromkeys(findings)))


def _finite(number: float | None) -> float | None:
    return number if number is not None and isfinite(number) else None
