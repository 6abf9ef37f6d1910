"""Whether the servos of a prop are strong enough, and what its supply has to give: at rest, and over a show."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from math import isfinite
from typing import Any

from posekit.errors import Finding, note
from posekit.mechanism.supply_check import current_findings, voltage_findings
from posekit.motion.follow import follow
from posekit.prop.feeds import DEFAULT, Feed, feeds
from posekit.prop.model import Prop
from posekit.report.feeding import SupplyPower, supply_power
from posekit.report.feeding_told import (
    feeding_findings,
    proposal_findings,
    proposed_groups,
    unknown_findings,
)
from posekit.report.moved import moved_steps
from posekit.report.stall import drive_volts, ratings_of, stall_currents, volts_left
from posekit.report.strength import (
    DrivePower,
    drives_power,
    following_findings,
    help_steps,
    holding_findings,
    needing_help,
)
from posekit.statics.apart import apart
from posekit.statics.boxes import common, question
from posekit.statics.burden import Burden, burden_steps
from posekit.statics.grouping import Group
from posekit.statics.over_show import torque_parts
from posekit.statics.ratings import rating_findings
from posekit.statics.shafts import efficiencies
from posekit.statics.ways import way_steps
from posekit.statics.worst import Holding, never, worst_steps
from posekit.stepwise import finished, telling, told_as
from posekit.stream.show import Show
from posekit.text import listed

CAUTION = (
    "These are figures of a model, for a person who decides: local codes and a licensed practitioner come first. "
    "Fuse each group, and keep hands away: a servo without power lets go of its load."
)


@dataclass(frozen=True, slots=True)
class PowerReport:
    """Strength and supplies of a prop. `drives` are in the order of the prop; `findings` end with a caution.

    `supply` is what feeds the drives that name none; `supplies` are all of them by name as of `feeds`, that one as
    "supply". `groups` are a proposal, of rows of `supplies`; none where all hold as they are.
    """

    prop: Prop
    show: Show | None
    supply: SupplyPower
    supplies: Mapping[str, SupplyPower]
    groups: tuple[Group, ...]
    drives: tuple[DrivePower, ...]
    findings: tuple[Finding, ...]

    def as_dict(self) -> dict[str, Any]:
        """The report as the command line prints it. What is not known, or has no bound, is null."""
        names = [drive.name for drive in self.prop.drives]
        return {
            "prop": self.prop.name,
            "supply": asdict(self.supply),
            "supplies": {name: asdict(supply) for name, supply in self.supplies.items()},
            "groups": [
                {
                    "supply": list(self.supplies)[group.like],
                    "one_more": group.more,
                    "drives": [names[d] for d in group.members],
                    "stalled_a": group.stalled_a,
                }
                for group in self.groups
            ],
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
    """How far a report is: what is proved of the servos so far, in their order, and the share of the show looked at;
    then for how many servos of those that hold too much it is known what helps.
    """

    holding: tuple[Holding, ...]
    moved: float
    helped: int = 0
    to_help: int = 0


def power_report(prop: Prop, show: Show | None = None) -> PowerReport:
    """All there is to tell of the strength of a prop, and of its supply; with a show, over that too.

    PosekitError for a mesh that cannot be read, and for a show after which it takes days until all rests.
    """
    return finished(power_steps(prop, show))


def power_steps(
    prop: Prop,
    show: Show | None = None,
    known: tuple[Holding, ...] = (),
    stop: Callable[[], bool] = never,
    leave: Callable[[], bool] = never,
    burden: Burden | None = None,
) -> Generator[PowerState, None, PowerReport]:
    """The same in small steps of a servo, then of the show; `known` are the first servos, proved before.

    Once `stop` says so no proof is brought nearer and no remedy looked for, which `findings` tell. The show is looked
    at whole all the same, which is bounded by how large a show may be (see `torque_parts`), but where `leave` says so
    before its end: then the report is one without a show. `burden` is that of the prop, for who has it.
    """
    if burden is None:
        burden = yield from telling(burden_steps(prop), PowerState(known, 0.0))
    ways = yield from telling(way_steps(prop, burden), PowerState(known, 0.0))
    ratings, fed = ratings_of(prop), feeds(prop)
    parts, of_all, holding = apart(ways), common(prop, ways), known
    motion, looked, moved = None, None, None
    if show is not None:
        # A show that takes days to rest is refused before anything is proved.
        yield PowerState(holding, 0.0)
        motion = follow(prop, show.times, show.values)
        looked = moved_steps(prop, torque_parts(prop, motion, burden), ratings, fed, leave)
    for d in range(len(known), len(prop.drives)):
        yield PowerState(holding, 0.0)
        asked = question(prop, ways, d, of_all)
        yield PowerState(holding, 0.0)
        proving = worst_steps(asked, stop, parts)
        holding = (*holding, (yield from telling(proving, PowerState(holding, 0.0))))
    if looked is not None:
        proved = holding
        moved = yield from told_as(looked, lambda share: PowerState(proved, share))
        show = None if moved is None else show
    drives = drives_power(prop, holding, ratings, efficiencies(prop, burden.mechanism), moved)
    help_: dict[int, str] = {}
    needing = needing_help(drives)
    for n, d in enumerate(needing):
        yield PowerState(holding, 1.0, n, len(needing))
        if stop():
            break
        helping = help_steps(prop, ways, d, drives[d], stop)
        helps = yield from telling(helping, PowerState(holding, 1.0, n, len(needing)))
        if helps or not stop():  # what was stopped has not found that nothing helps
            help_[d] = helps
    drawn = [None] * len(fed) if moved is None else moved.drawn
    supplies = {
        feed.name: supply_power(prop, feed, drives, show is not None, own)
        for feed, own in zip(fed, drawn, strict=True)
    }
    groups = proposed_groups(prop, fed, drives)
    findings = [
        *voltage_findings(prop, volts_left(prop)),
        *(finding for finding in current_findings(prop, stall_currents(prop)) if finding.code == "no-supply"),
        *rating_findings(prop, drive_volts(prop)),
        *(show.findings if show else ()),
        *(
            finding
            for d, each in enumerate(drives)
            for finding in holding_findings(prop, d, each, help_.get(d, ""))
        ),
        *_not_helped(prop, [d for d in needing if d not in help_]),
        *(following_findings(prop, ratings, motion, moved) if motion and moved else ()),
        *(finding for feed in fed for finding in feeding_findings(feed, supplies[feed.name])),
        *proposal_findings(prop, fed, groups),
        *unknown_findings(prop),
        note("local-codes", "", CAUTION),
    ]
    nothing = Feed(DEFAULT, None, (), (DEFAULT,))
    supply = supplies.get(DEFAULT) or supply_power(prop, nothing, drives, show is not None, None)
    told = tuple(dict.fromkeys(findings))
    return PowerReport(prop, show, supply, supplies, groups, drives, told)


def _not_helped(prop: Prop, left: Sequence[int]) -> Iterator[Finding]:
    """The servos for which no remedy was looked for, or not to the end."""
    if left:
        names = listed(prop.drives[d].name for d in left)
        sentence = (
            f"springs and counterweights were not looked for in the time given, or not to the end: {names}"
        )
        yield note("help-left-out", "", sentence)


def _finite(number: float | None) -> float | None:
    return number if number is not None and isfinite(number) else None
