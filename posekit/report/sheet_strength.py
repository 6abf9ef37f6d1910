"""Strength and supply for the sheets of the install: what each servo holds at most, what each supply has to give."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from math import isfinite

from posekit.errors import Finding, PosekitError
from posekit.prop.feeds import DEFAULT
from posekit.prop.model import Prop
from posekit.report.feeding import SupplyPower
from posekit.report.power import CAUTION, PowerReport, PowerState, power_steps
from posekit.stepwise import finished

LONGEST_S = 10.0  # a sheet is waited for: proofs that are not done by then stand as they are, and say so


@dataclass(frozen=True, slots=True)
class HeldRow:
    """What the servo of one drive holds at most, and what feeds it. What is not known is None.

    `holding_nm` is proved: no pose asks for more; None is without bound. `near`: a pose was found that asks for about
    as much; `cut`: it was not, for want of time.
    """

    drive: str
    supply: str
    holding_nm: float | None
    near: bool
    cut: bool
    stall_nm: float | None
    share: float | None
    may_sleep: bool | None
    stall_a: float | None


@dataclass(frozen=True, slots=True)
class SheetStrength:
    """A row a drive, in the order of the prop file; the supplies by name; `unread` is why there are none."""

    rows: tuple[HeldRow, ...]
    supplies: tuple[tuple[str, SupplyPower], ...]
    caution: str
    unread: tuple[Finding, ...]


def sheet_strength(prop: Prop, longest_s: float = LONGEST_S) -> SheetStrength:
    """Strength and supply as sheets tell them. Reads the meshes; where that cannot be done, `unread` tells why."""
    until = time.monotonic() + longest_s
    try:
        report = _report(prop, lambda: time.monotonic() >= until)
    except PosekitError as unreadable:
        return SheetStrength((), (), CAUTION, unreadable.findings)
    rows = tuple(
        HeldRow(
            drive=drive.name,
            supply=drive.supply or (DEFAULT if prop.supply else "none"),
            holding_nm=each.holding.most_nm if isfinite(each.holding.most_nm) else None,
            near=each.holding.tight,
            cut=each.holding.cut,
            stall_nm=each.rating.stall_nm,
            share=each.share if each.share is not None and isfinite(each.share) else None,
            may_sleep=each.may_sleep,
            stall_a=each.rating.stall_a,
        )
        for drive, each in zip(prop.drives, report.drives, strict=True)
    )
    return SheetStrength(rows, tuple(report.supplies.items()), CAUTION, ())


def _report(prop: Prop, late: Callable[[], bool]) -> PowerReport:
    """The report on strength, without what would help, for which a sheet has no room."""
    helping = False

    def told(state: PowerState) -> None:
        nonlocal helping
        helping = state.to_help > 0

    return finished(power_steps(prop, stop=lambda: helping or late()), told)
