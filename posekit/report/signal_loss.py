"""What becomes of a figure when values stop coming, as the prop file says for each drive: hold, go to rest, let go.

A receiver keeps the last values, goes to others or stops the pulses, by its make or by how it is set (common practice);
which of them, only the file can tell. Drives that go to rest do so by their own speeds, judged like any move, while the
others stand; each that lets go falls by itself, judged in `letting_go`. What falls meanwhile, and what they do together
on the way, is not judged.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator, Sequence
from dataclasses import dataclass
from itertools import takewhile
from typing import Any, Literal

import numpy as np

from posekit.arrays import Array
from posekit.budgets import FALL_PAIRS
from posekit.clearance.moves import MoveVerdict
from posekit.clearance.watch import Watch
from posekit.errors import Finding, note, warning
from posekit.mechanism.joints import solve
from posekit.prop.model import OnLoss, Prop
from posekit.report.letting_go import LetGo, Lying, moved_pairs, together_steps
from posekit.report.letting_go_told import lying_findings
from posekit.report.move import between_steps, move_findings
from posekit.signal.calibration import pulses, shafts
from posekit.statics.dynamics import torques
from posekit.statics.loose import Loose
from posekit.statics.shafts import to_shafts
from posekit.statics.worst import never

Judged = Literal["nothing moves", "move", "fall", "each by itself", "not looked at"]


@dataclass(frozen=True, slots=True)
class SignalLoss:
    """What is left of a pose when values stop coming.

    `does` (D,) is what each drive does, None where the file does not say; then `lies` is None, too: the pose in which
    the figure can come to rest. `held_nm` (D,) [N*m] is what each servo holds there, None for one that lets go, and
    None where something falls still. `move` are the pairs that strike while drives go to rest, may, or do not keep the
    margin, of `pairs` pairs that the way moves against each other. `judged` is what of the way was looked at: all of it
    but for "each by itself", where several go or fall at once, or one may while others go, and "not looked at", where
    for some of it there were too many pairs, or time ran out.
    """

    does: tuple[OnLoss | None, ...]
    lies: Lying | None
    held_nm: tuple[float | None, ...] | None
    move: tuple[MoveVerdict, ...]
    pairs: int
    judged: Judged | None

    def as_dict(self, prop: Prop) -> dict[str, Any]:
        """As the command line prints it."""
        names = [drive.name for drive in prop.drives]
        held = self.held_nm or (None,) * len(names)
        return {
            "drives": {
                name: {"on_loss": does, "held_nm": None if nm is None or not np.isfinite(nm) else nm}
                for name, does, nm in zip(names, self.does, held, strict=True)
            },
            "pose": None if self.lies is None else self.lies.as_dict(),
            "pairs": self.pairs,
            "move": [verdict.as_dict() for verdict in self.move],
            "judged": self.judged,
        }


def signal_loss_steps(
    loose: Loose,
    watched: Watch,
    values: Array,
    drives: Sequence[LetGo],
    stop: Callable[[], bool] = never,
    late: Callable[[], bool] = never,
) -> Generator[None, None, SignalLoss]:
    """What becomes of the pose at values (D,), from which each of `drives` (D,) lets go by itself.

    In steps, for callers with other work to do. Once `stop` says so no more of the way is looked at; once `late`
    does, nor is how all comes to rest.
    """
    prop = loose.prop
    does = tuple(prop.on_loss(drive) for drive in prop.drives)
    resting = np.array([drive.rest_value for drive in prop.drives], float)
    goal = np.where([each == "rest" for each in does], resting, values)
    go = np.flatnonzero(goal != values).tolist()
    moves = bool(go)
    many = len(watched.pairs) > FALL_PAIRS
    in_time = takewhile(lambda _: not (many or stop()), watched.pairs)
    verdicts = (yield from between_steps(prop, values, goal, watched, in_time)) if moves else ()
    cut = moves and len(verdicts) < len(watched.pairs)
    told = tuple(verdict for verdict in verdicts if verdict.verdict != "clear")
    if None in does:
        return SignalLoss(does, None, None, told, len(moved_pairs(loose, watched, go)), None)
    begin, end = shafts(prop, pulses(prop, np.stack([values, goal])))
    free = [d for d, each in enumerate(does) if each == "release"]
    lies = yield from together_steps(loose, watched, end, free, begin, late)
    fallen = np.array([lies.shaft_deg[drive.name] for drive in prop.drives])
    falls = [d for d in free if abs(fallen[d] - end[d]) > 1e-6]
    unseen = not lies.rests or any(drives[d].touches is None for d in falls)
    judged: Judged = "nothing moves"
    if cut or unseen:
        judged = "not looked at"
    elif len(falls) > 1 or (moves and free):
        judged = "each by itself"
    elif moves or falls:
        judged = "move" if moves else "fall"
    held = _held(loose, fallen, free) if lies.rests else None
    pairs = moved_pairs(loose, watched, [*go, *(falls if lies.rests else free)])
    return SignalLoss(does, lies, held, told, len(pairs), judged)


def _held(loose: Loose, shafts_deg: Array, free: list[int]) -> tuple[float | None, ...]:
    """What each servo holds at angles of the shafts (D,) [deg]; None for those that let go."""
    solved = solve(loose.prop, shafts_deg[None], loose.burden.mechanism)
    asked = torques(loose.prop, solved.position, loose.burden)
    held = to_shafts(loose.prop, loose.burden, asked, solved.held)[0].tolist()
    return tuple(None if d in free else nm for d, nm in enumerate(held))


def loss_findings(prop: Prop, lost: SignalLoss) -> Iterator[Finding]:
    """What there is to tell of values that stop coming."""
    unknown = [drive.name for drive, does in zip(prop.drives, lost.does, strict=True) if does is None]
    if unknown:
        which = "its drives do" if len(unknown) == len(prop.drives) else f"{', '.join(unknown)} do"
        sentence = (
            f"does not say what {which} when values stop coming: set on_loss to hold, rest or release. A receiver may "
            "hold, go to a value or stop the pulses; its manual tells"
        )
        yield note("loss-unknown", "receiver", sentence)
    for finding in move_findings(lost.move, prop.clearance.margin):
        said = f"when values stop coming and drives go to rest: {finding.message}"
        yield warning(f"loss-{finding.code}", finding.subject, said)
    if lost.lies is not None:
        yield from lying_findings(lost.lies, "values stop coming")
    if lost.judged == "not looked at":
        yield from _brought(lost)
        sentence = (
            "when values stop coming, drives go or fall: what they strike on the way was not looked at, or not all of "
            "it; give it more time, or look with `posekit move` at what goes to rest"
        )
        yield note("loss-way", "receiver", sentence)
    if lost.judged == "each by itself":
        sentence = (
            "when values stop coming, several drives may go or fall at once: what goes to rest was looked at with the "
            "others standing, and each fall by itself; what falls meanwhile, and what they do together, was not"
        )
        yield note("loss-way", "receiver", sentence)


def _brought(lost: SignalLoss) -> Iterator[Finding]:
    """What overlaps where drives came to rest, where nobody looked at the way there."""
    lies = lost.lies
    if lies is None:
        return
    known = {*lies.from_start, *lies.fallen, *(each.pair for each in lost.move)}
    for pair in lies.overlap:
        if pair not in known:
            sentence = "when values stop coming and drives go to rest: touch or overlap there"
            yield warning("loss-strikes", " - ".join(pair), sentence)
