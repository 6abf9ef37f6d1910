"""Whether the servos of a prop are strong enough: what each holds at most, and what a show asks of it."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator, Sequence
from dataclasses import dataclass
from math import isfinite

import numpy as np

from posekit.arrays import Array
from posekit.errors import Finding, note, warning
from posekit.motion.follow import Motion
from posekit.prop.model import Prop
from posekit.report.moved import Moved, Weakest
from posekit.report.stall import GOOD_SHARE, MOST_SHARE, cannot_hold, servo_needed
from posekit.signal.calibration import servo_of
from posekit.statics.currents import current_at, speed_left
from posekit.statics.ratings import Rating
from posekit.statics.remedies import Counterweight, Spring, remedy_steps
from posekit.statics.ways import Ways
from posekit.statics.worst import Holding, never
from posekit.text import downward, exact, plain, upward

EASED = 0.8  # of what a servo holds: by less is not worth a word
SLOWER = 0.98  # of the speed that is asked for; below that a servo is told not to follow


@dataclass(frozen=True, slots=True)
class DrivePower:
    """One servo: its worst holding, what it can do at its voltage, and what a show asks of it (None without one).

    `share` is the proved bound in stall torques; `may_sleep` is None where the friction that would hold it is not
    known, else whether that holds it in every pose; `current_a` (None: not known) is what it draws holding its worst.
    """

    holding: Holding
    rating: Rating
    share: float | None
    may_sleep: bool | None
    current_a: float | None
    peak_nm: float | None
    peak_at_s: float | None
    rms_nm: float | None


def drives_power(
    prop: Prop, holding: tuple[Holding, ...], able: list[Rating], lossy: Array, moved: Moved | None
) -> tuple[DrivePower, ...]:
    """All servos, with what they can do, the efficiencies `lossy` (D,) of their linkages, and a show."""
    return tuple(
        DrivePower(
            holding=holding[d],
            rating=able[d],
            share=None if (stall := able[d].stall_nm) is None else holding[d].most_nm / stall,
            may_sleep=_may_sleep(servo_of(prop, drive).friction, holding[d], float(lossy[d])),
            current_a=_current(holding[d], able[d], servo_of(prop, drive).idle_current or 0.0),
            peak_nm=None if moved is None else float(moved.peak_nm[d]),
            peak_at_s=None if moved is None else float(moved.peak_at_s[d]),
            rms_nm=None if moved is None else float(moved.rms_nm[d]),
        )
        for d, drive in enumerate(prop.drives)
    )


def _may_sleep(friction: float | None, holding: Holding, lossy: float) -> bool | None:
    """Whether friction holds a servo without power in every pose; None where that is not known.

    Gravity turns it by what its linkage would pass back without any loss: what is lost would only help.
    """
    if friction is None:
        return None
    if holding.most_nm * lossy <= friction:
        return True
    return False if holding.tight or abs(holding.found_nm) * lossy > friction else None


def _current(holding: Holding, able: Rating, idle_a: float) -> float | None:
    """What a servo draws [A] when it holds its worst; None where its figures are not known."""
    if able.stall_nm is None or able.stall_a is None:
        return None
    torque = np.array([min(holding.most_nm, able.stall_nm)])
    return float(current_at(torque, able.stall_nm, able.stall_a, idle_a)[0])


def needing_help(drives: Sequence[DrivePower]) -> list[int]:
    """The columns of the servos that hold more than a good share, and have a bound."""
    return [
        d
        for d, each in enumerate(drives)
        if each.share is not None and each.share > GOOD_SHARE and isfinite(each.holding.most_nm)
    ]


def help_steps(
    prop: Prop, ways: Ways, d: int, each: DrivePower, stop: Callable[[], bool] = never
) -> Generator[None, None, str]:
    """What would help a servo that holds more than a good share, as sentences; `stop` is as for `remedies`."""
    found = yield from remedy_steps(prop, ways, d, each.holding.most_nm, stop)
    return "".join(f" {_said(remedy)}." for remedy in found)


def _said(remedy: Spring | Counterweight) -> str:
    if isinstance(remedy, Spring):
        return (
            f"A spring of {remedy.torque_nm:.2f} N·m all the way on '{remedy.joint}' (torque = "
            f"{plain(remedy.torque_nm, 3)}) leaves {upward(remedy.most_nm)} N·m"
        )
    place = ", ".join(exact(each) for each in remedy.at_mm)
    return (
        f"A counterweight of {remedy.mass_g:.0f} g at [{place}] of '{remedy.link}' leaves "
        f"{upward(remedy.most_nm)} N·m, and hangs on the joints before it"
    )


def others_tell(holding: Holding) -> bool:
    """Whether a servo holds much less with all others at rest."""
    return holding.alone_nm < EASED * abs(holding.found_nm)


def holding_findings(prop: Prop, d: int, each: DrivePower, help_: str = "") -> Iterator[Finding]:
    """What there is to tell of what the servo of one drive holds, and what would help: `help_` of `help_steps`."""
    name, holding, stall = prop.drives[d].name, each.holding, each.rating.stall_nm
    if not holding.tight:
        yield note("holding-open", name, _left_open(holding))
    if stall is None:
        return
    proved = isfinite(holding.most_nm)
    most = holding.most_nm if proved else abs(holding.found_nm)
    if abs(holding.found_nm) > stall:
        yield cannot_hold(prop, prop.drives[d], abs(holding.found_nm), stall, help_)
    elif most > GOOD_SHARE * stall:
        alone = f" ({holding.alone_nm:.2f} N·m with all others at rest)" if others_tell(holding) else ""
        holds = f"up to {upward(most)}" if proved else f"at least {downward(most)}"
        share = (upward if proved else downward)(100 * most / stall, 0)
        sentence = (
            f"holds {holds} N·m{alone}, {share}% of its stall torque "
            "at the voltage it gets; below a third to a half it keeps cool (common practice). What would "
            f"bring it there: {servo_needed(prop, prop.drives[d], most)}; or a reduction "
            f"{upward(most / GOOD_SHARE / stall, 1)} times as large.{help_}"
        )
        tell = warning if most > MOST_SHARE * stall else note
        yield tell("holding-share", name, sentence)


def _left_open(holding: Holding) -> str:
    """How far a proof came, and why no further."""
    seen = f"{plain(abs(holding.found_nm), 3)} N·m" if isfinite(holding.found_nm) else "a dead point"
    if not isfinite(holding.most_nm):
        told = f"has no bound proved for what it holds, and {seen} found"
        why = "the time was used up" if holding.cut else "keep its end points off dead points of its linkage"
        return f"{told}: {why}"
    apart = f", {upward(100 * holding.loose, 0)}% above" if isfinite(holding.loose) else ""
    told = f"holds {upward(holding.most_nm, 3)} N·m at most, proved{apart} the {seen} of the worst pose found"
    if holding.cut:
        return f"{told}: the time was used up; more time brings the two nearer together"
    return f"{told}: {holding.boxes} boxes were not enough for what moves it, or for its springs"


def following_findings(prop: Prop, able: Sequence[Rating], motion: Motion, moved: Moved) -> Iterator[Finding]:
    """Servos whose torque left at their speed is less than what the show asks of them."""
    for d, drive in enumerate(prop.drives):
        stall, top, weakest = able[d].stall_nm, able[d].speed_deg_s, moved.weakest[d]
        if np.isinf(motion.limits.acceleration[d]):
            sentence = (
                "has no acceleration limit, so that its speed jumps and the torque of a jump is not counted; give "
                "it one"
            )
            yield note("speed-jumps", drive.name, sentence)
        if (dead_at := moved.dead_at_s[d]) is not None:
            sentence = (
                f"comes to a dead point of its linkage {dead_at:.2f} s into the show: what "
                "it gives there is not known, and the part counts as standing; keep its end points off it"
            )
            yield note("show-dead-point", drive.name, sentence)
        if stall is None or top is None or weakest is None or weakest.lacks_nm <= 0.0:
            continue
        reaches = speed_left(weakest.torque_nm, stall, top)
        if reaches <= SLOWER * abs(weakest.speed_deg_s):
            limit = float(motion.limits.acceleration[d])
            yield warning("too-weak", drive.name, _weak(stall, top, weakest, limit, reaches))


def _weak(stall: float, top: float, weakest: Weakest, limit: float, reaches: float) -> str:
    """That a servo which stalls at `stall` [N*m], goes at `top` [deg/s] and gains no more than `limit` [deg/s2] cannot
    follow there.
    """
    torque, resting = weakest.torque_nm, weakest.resting_nm
    if reaches <= 0.0:
        return (
            f"has to give {upward(abs(torque))} N·m, {weakest.at_s:.2f} s into the show, and stalls at "
            f"{downward(stall)} N·m: no limit of its speed helps; less acceleration, a stronger servo, a "
            "counterweight or a spring may"
        )
    sentence = (
        f"has to give {upward(abs(torque))} N·m at {upward(abs(weakest.speed_deg_s), 0)} deg/s, {weakest.at_s:.2f} s "
        f"into the show, and has {downward(weakest.left_nm)} N·m left at that speed: it falls behind. Against that "
        f"torque it reaches {_to_set(reaches)} deg/s"
    )
    moving = abs(torque - resting)
    # At half of its speed a motor has half of its stall torque, and gives the most power.
    spare = stall / 2 - resting * float(np.sign(torque))
    at_limit = isfinite(limit) and bool(np.isclose(abs(weakest.gain_deg_s2), limit, rtol=1e-6))
    if at_limit and moving > 0.05 * abs(torque) and spare > 0.0:
        sentence += (
            f"; at {downward(top / 2, 0)} deg/s, half of its speed without load, it can take an acceleration of "
            f"{_to_set(limit * spare / moving)} deg/s2"
        )
    return f"{sentence}; set its limits so"


def _to_set(limit: float) -> str:
    """A limit that a servo can keep, to be set: no more than that, and not 0 where it is little."""
    return downward(limit, 0 if limit >= 10.0 else 2)
