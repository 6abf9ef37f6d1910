"""What crosses the door about strength: torques in N*m, shares of the stall torque, currents in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from posekit.bridge.views import FindingView, Values
from posekit.report.held import Load


@dataclass(frozen=True, slots=True)
class StrengthView:
    """What is the same for all poses: the voltage that each servo gets, and its stall torque at that, by drive.

    `scale` is what stands beside a bar: shares of stall as they are written, from 0 to 1, between them those from which
    on a servo that holds gets warm and hot; `strains` what that is called. `caution` goes with
    all figures; `dangers`, such as too much voltage, come before everything else, then `cautions`. `missing` is what
    the prop file does not say.
    """

    volts: tuple[float | None, ...]
    stall_nm: tuple[float | None, ...]
    scale: tuple[tuple[float, str], ...]
    strains: Mapping[str, str]
    caution: str
    dangers: tuple[FindingView, ...]
    cautions: tuple[FindingView, ...]
    missing: tuple[FindingView, ...]


@dataclass(frozen=True, slots=True)
class HeldView:
    """What each servo holds in a pose, by drive; `worst` is the drive nearest to its stall torque, null for none."""

    loads: tuple[Load, ...]
    worst: str | None


@dataclass(frozen=True, slots=True)
class MovingView:
    """What a show asks of a servo: the most, at a time [s], and the root mean square, which heats it."""

    peak: Load
    peak_at_s: float
    rms: Load


@dataclass(frozen=True, slots=True)
class WorstView:
    """The most that a servo has to hold over all values. `most` is proved, `found_nm` what the pose `values` asks for.

    `found_nm` and `alone_nm`, with all others at rest, are null at a dead point; `others_tell`: that is much less.
    `near`: the bound is near what was found; `cut`: more time would bring it nearer. `stall_nm` is what the shares are
    of. `may_sleep` is null where that is not known, `moving` without a show.
    """

    drive: str
    stall_nm: float | None
    most: Load
    found_nm: float | None
    alone_nm: float | None
    others_tell: bool
    near: bool
    cut: bool
    values: Values
    may_sleep: bool | None
    moving: MovingView | None


@dataclass(frozen=True, slots=True)
class SupplyView:
    """A supply by its name in the prop file: rows of what a figure is, and the figure with its unit."""

    name: str
    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class ProofView:
    """How far the proof is: `drives` so far, of so many, then the `show` of this name, null for none, then what helps.

    `share` of 1 is done of what `phase` tells. In the end all else is known: whether servos may sleep, what the show
    asks, `supplies`, `findings`. `stopped`: proofs that were not done stand as they were, and of a show that was not
    looked through nothing is told. `worst` is the drive nearest to its stall torque, `hardest` the one that the show
    brings nearest.
    """

    phase: Literal["proving", "moving", "helping", "done"]
    drives: tuple[WorstView, ...]
    of: int
    share: float
    show: str | None
    stopped: bool
    worst: str | None
    hardest: str | None
    supplies: tuple[SupplyView, ...]
    findings: tuple[FindingView, ...]
