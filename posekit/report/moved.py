"""What a show asks of the servos, of all its instants: of each part what is most of it, so that only one is held."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array
from posekit.prop.feeds import Feed
from posekit.prop.model import Prop
from posekit.signal.calibration import servo_of
from posekit.statics.currents import current_at, torque_left
from posekit.statics.over_show import ShowTorques
from posekit.statics.ratings import Rating
from posekit.statics.worst import never


@dataclass(frozen=True, slots=True)
class Weakest:
    """The instant at which a servo lacks most to what a show asks of it, or has least to spare.

    `lacks_nm` is by how much `torque_nm` is more than the `left_nm` that it has at that speed; `resting_nm` and
    `gain_deg_s2` are as in `ShowTorques`.
    """

    at_s: float
    lacks_nm: float
    torque_nm: float
    left_nm: float
    resting_nm: float
    speed_deg_s: float
    gain_deg_s2: float


@dataclass(frozen=True, slots=True)
class Drawn:
    """The most that the servos on a supply draw together [A], when that is [s], and the mean over the show [A]."""

    peak_a: float
    at_s: float
    mean_a: float


@dataclass(frozen=True, slots=True)
class Moved:
    """A show. Of each drive the largest magnitude of its torque [N*m], when it stands [s], and the root mean square
    over the time of the show, which is what heats a servo; when it first came to a dead point, None where never; and
    its weakest instant, None where its torque or speed are not known. Of each feed what it drew, None where no current
    is known.
    """

    peak_nm: Array
    peak_at_s: Array
    rms_nm: Array
    dead_at_s: tuple[float | None, ...]
    weakest: tuple[Weakest | None, ...]
    drawn: tuple[Drawn | None, ...]


def moved_steps(
    prop: Prop,
    show: tuple[float, Iterator[ShowTorques]],
    able: Sequence[Rating],
    fed: Sequence[Feed],
    leave: Callable[[], bool] = never,
) -> Generator[float, None, Moved | None]:
    """Look through a show, as `torque_parts` gives it; gives the share of it that is done.

    `able` (D,) is what each servo can do at the voltage that it gets. None if `leave` said so before all was looked at.
    """
    end, parts = show
    count, begin = len(prop.drives), end
    peak, at, square = np.full(count, -1.0), np.zeros(count), np.zeros(count)
    dead: list[float | None] = [None] * count
    weakest: list[Weakest | None] = [None] * count
    drawn: list[Drawn | None] = [None] * len(fed)
    lasted = 0.0
    for part in parts:
        if leave():
            return None
        size = np.abs(part.torque)
        top = size.argmax(axis=0)
        most = size[top, np.arange(count)]
        higher = most > peak
        peak, at = np.where(higher, most, peak), np.where(higher, part.times[top], at)
        own = part.lasts > 0.0  # not those of no duration: infinite torque for no time would be no number
        square += part.lasts[own] @ size[own] ** 2
        for d in range(count):
            if dead[d] is None and part.dead[:, d].any():
                dead[d] = float(part.times[part.dead[:, d].argmax()])
            weakest[d] = _weaker(weakest[d], _weakest(part, d, able[d]))
        for f, feed in enumerate(fed):
            drawn[f] = _with(drawn[f], lasted, _drawn(prop, feed, able, part), float(part.lasts.sum()))
        lasted += float(part.lasts.sum())
        begin = min(begin, float(part.times[0]))
        yield min((float(part.times[-1]) - begin) / (end - begin), 1.0) if begin < end else 1.0
    rms = np.sqrt(square / lasted) if lasted > 0.0 else peak
    return Moved(peak, at, rms, tuple(dead), tuple(weakest), tuple(drawn))


def _weakest(part: ShowTorques, d: int, able: Rating) -> Weakest | None:
    if able.stall_nm is None or able.speed_deg_s is None:
        return None
    torque, speed = np.where(part.dead[:, d], 0.0, part.torque[:, d]), part.speed[:, d]
    # A servo that is driven by its load brakes it with all of its torque.
    left = np.where(torque * speed > 0.0, torque_left(speed, able.stall_nm, able.speed_deg_s), able.stall_nm)
    lacks = np.abs(torque) - left
    i = int(lacks.argmax())
    told = part.times[i], lacks[i], torque[i], left[i], part.resting[i, d], speed[i], part.gain[i, d]
    return Weakest(*map(float, told))


def _weaker(one: Weakest | None, other: Weakest | None) -> Weakest | None:
    """Of two the weaker, of two alike the first."""
    return other if one is None or (other is not None and other.lacks_nm > one.lacks_nm) else one


def in_motion(able: Rating) -> bool:
    """Whether the current of a servo in motion is known: where its torque and current are, stalled."""
    return able.stall_nm is not None and able.stall_a is not None


def _drawn(prop: Prop, feed: Feed, able: Sequence[Rating], part: ShowTorques) -> Drawn | None:
    if not any(in_motion(able[d]) for d in feed.drives):
        return None
    whole = np.zeros(len(part.times))
    for d in feed.drives:
        stall_nm, stall_a = able[d].stall_nm, able[d].stall_a
        if stall_nm is not None and stall_a is not None:
            idle_a = servo_of(prop, prop.drives[d]).idle_current or 0.0
            whole += current_at(part.torque[:, d], stall_nm, stall_a, idle_a)
    top, lasts = int(whole.argmax()), part.lasts.sum()
    mean = float(whole @ part.lasts / lasts) if lasts > 0.0 else float(whole[0])
    return Drawn(float(whole[top]), float(part.times[top]), mean)


def _with(one: Drawn | None, one_s: float, other: Drawn | None, other_s: float) -> Drawn | None:
    """What was drawn in two stretches, one after the other, that last so long [s]."""
    if one is None or other is None:
        return other
    most = other if other.peak_a > one.peak_a else one
    whole = one_s + other_s
    mean = (one.mean_a * one_s + other.mean_a * other_s) / whole if whole > 0.0 else one.mean_a
    return Drawn(most.peak_a, most.at_s, mean)
