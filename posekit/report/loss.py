"""What becomes of a figure in one pose when a servo, or all of them, let go, and when values stop coming."""

from __future__ import annotations

import time
from collections.abc import Callable, Generator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from posekit.arrays import Array
from posekit.budgets import FALL_PAIRS
from posekit.clearance.left_out import LeftOut
from posekit.clearance.watch import Watch, watch_steps
from posekit.errors import Finding, PosekitError, error
from posekit.mechanism.joints import solve
from posekit.mechanism.values import values as values_of
from posekit.motion.follow import follow
from posekit.prop.model import Prop
from posekit.report.letting_go import LetGo, Lying, each_lets_go, together_steps
from posekit.report.letting_go_told import falling_findings, lying_findings
from posekit.report.signal_loss import SignalLoss, loss_findings, signal_loss_steps
from posekit.signal.calibration import pulses, shafts
from posekit.statics.burden import Burden, burden_steps
from posekit.statics.loose import loose
from posekit.statics.worst import never
from posekit.stepwise import finished, telling
from posekit.stream.show import Show
from posekit.text import exact

# About these shares of the work are: each servo by itself, and once more where it holds most.
EACH, WORST = 0.6, 0.2
REST_S = 0.1  # for how each falls and how all comes to rest, once time is up


@dataclass(frozen=True, slots=True)
class LossReport:
    """From the pose at `values`: each servo alone lets go, in the order of the drives; all at once, as power goes; and
    values stop coming. `worst` (D,) are servos that may not sleep, and stay in that pose, where they hold most; None
    for all others. `pairs` are so many that are judged, `left_out` what is not.
    """

    prop: Prop
    values: dict[str, int]
    drives: tuple[LetGo, ...]
    worst: tuple[LetGo | None, ...]
    all_at_once: Lying
    signal: SignalLoss
    pairs: int
    left_out: tuple[LeftOut, ...]
    findings: tuple[Finding, ...]

    def as_dict(self) -> dict[str, Any]:
        """The report as the command line prints it, all but what `of_drive` has, and the findings."""
        return {
            "let_go_from": self.values,
            "all_let_go": self.all_at_once.as_dict(),
            "signal_loss": self.signal.as_dict(self.prop),
            "left_out": [each.as_dict() for each in self.left_out],
        }

    def of_drive(self, d: int) -> dict[str, Any]:
        """What belongs to the drive in column `d`."""
        worst = self.worst[d]
        return {
            "on_loss": self.signal.does[d],
            "let_go": self.drives[d].as_dict(),
            "let_go_where_it_holds_most": None if worst is None else worst.as_dict(),
        }


@dataclass(frozen=True, slots=True)
class LossState:
    """How far a report is: the servos that were looked at so far, in their order, and what share of all the work."""

    drives: tuple[LetGo, ...]
    share: float


def loss_report(
    prop: Prop,
    values: ArrayLike,
    stop: Callable[[], bool] = never,
    worst: Sequence[Sequence[int] | None] = (),
    watched: Watch | None = None,
    burden: Burden | None = None,
) -> LossReport:
    """The same as `loss_steps`, all steps done at once."""
    return finished(loss_steps(prop, values, stop, worst, watched, burden))


def loss_steps(
    prop: Prop,
    values: ArrayLike,
    stop: Callable[[], bool] = never,
    worst: Sequence[Sequence[int] | None] = (),
    watched: Watch | None = None,
    burden: Burden | None = None,
) -> Generator[LossState, None, LossReport]:
    """What becomes of the pose at drive values (D,), in small steps, for callers with other work to do.

    PosekitError for values that are none of these drives', and for meshes that cannot be read. `worst` has for each
    drive that may not sleep the values (D,) of the pose in which it holds most, else None. Once `stop` says so no
    further way is looked at for strikes; REST_S later, nor is how servos fall and how all comes to rest. `findings`
    tell of both. All falls look at FALL_PAIRS pairs of parts at most. `watched` and `burden` are those of the prop, for
    who has them already.
    """
    late = _later(stop, REST_S)
    value = _values(prop, values)
    begun = LossState((), 0.0)
    if burden is None:
        burden = yield from telling(burden_steps(prop), begun)
    if watched is None:
        watched = yield from telling(watch_steps(prop), begun)
    free = loose(prop, burden)
    begin = shafts(prop, pulses(prop, value[None]))[0]
    count = len(prop.drives)
    drives: tuple[LetGo, ...] = ()
    yield begun
    for done in each_lets_go(free, watched, [begin] * count, FALL_PAIRS, stop, late):
        drives = tuple(each for each in done if each is not None)
        yield LossState(drives, EACH * len(drives) / count)
    stays = [each.fall.what != "falls" for each in drives]
    from_worst = [
        None if own is None or not stay else shafts(prop, pulses(prop, [own]))[0]
        for own, stay in zip(worst or [None] * count, stays, strict=True)
    ]
    left = FALL_PAIRS - sum(each.pairs for each in drives if each.touches is not None)
    hardest: tuple[LetGo | None, ...] = ()
    for hardest in each_lets_go(free, watched, from_worst, left, stop, late):
        yield LossState(drives, EACH + WORST * len(hardest) / count)
    lying = together_steps(free, watched, begin, list(range(count)), stop=late)
    heap = yield from telling(lying, LossState(drives, EACH + WORST))
    losing = signal_loss_steps(free, watched, value, drives, stop, late)
    signal = yield from telling(losing, LossState(drives, (1.0 + EACH + WORST) / 2.0))
    findings = [
        *(finding for each in drives for finding in falling_findings(prop, each)),
        *(
            finding
            for each in hardest
            if each is not None
            for finding in falling_findings(prop, each, "may not sleep: where it holds most, it ")
        ),
        *lying_findings(heap, "all servos let go at once"),
        *loss_findings(prop, signal),
    ]
    return LossReport(
        prop=prop,
        values={drive.name: int(each) for drive, each in zip(prop.drives, value, strict=True)},
        drives=drives,
        worst=hardest,
        all_at_once=heap,
        signal=signal,
        pairs=len(watched.pairs),
        left_out=watched.left_out,
        findings=tuple(dict.fromkeys(findings)),
    )


def _later(stop: Callable[[], bool], seconds: float) -> Callable[[], bool]:
    """Whether `stop` has said so, and so long ago, as far as that is asked."""
    until: list[float] = []

    def late() -> bool:
        if not until and stop():
            until.append(time.monotonic() + seconds)
        return bool(until) and time.monotonic() >= until[0]

    return late


def _values(prop: Prop, values: ArrayLike) -> Array:
    """Values (D,) as whole numbers; PosekitError where they are no values of these drives."""
    try:
        found, count = np.asarray(values, float), len(prop.drives)
    except (TypeError, ValueError) as problem:
        raise PosekitError(
            [error("wrong-array", "values", f"not an array of numbers ({problem})")]
        ) from problem
    if found.shape != (count,):
        sentence = f"has shape {found.shape}; give those of one pose, ({count},), one for each drive"
        raise PosekitError([error("wrong-array", "values", sentence)])
    whole = np.rint(found)
    wrong = [
        error("value-range", drive.name, f"= {exact(value)}: its values go from 0 to {drive.full_scale}")
        for drive, value in zip(prop.drives, whole.tolist(), strict=True)
        if not 0 <= value <= drive.full_scale
    ]
    if wrong:
        raise PosekitError(wrong)
    return whole


def values_during(prop: Prop, show: Show, at_s: float) -> list[int]:
    """The values (D,) that pose a prop nearest to how it really stands at a time of a show [s]."""
    shaft = follow(prop, show.times, show.values).position(np.array([at_s]))
    return [int(each) for each in values_of(prop, solve(prop, shaft).wanted)[0]]
