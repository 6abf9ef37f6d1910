"""What crosses the door about servos that let go and values that stop coming: words, and poses for the picture."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from posekit.bridge.views import FindingView, Floats, LeftOutView, Values


@dataclass(frozen=True, slots=True)
class FallView:
    """One servo that lets go while all others hold, in words; where it `falls`, `goes`, `rests` and `way` are told.

    `known` is false where it was not looked at before it was stopped: whether it falls is open then.
    `strikes`: on the way its part strikes another, or may. Among the poses of the picture, `rest` is where it comes to
    rest and `struck` where it first strikes; null for none. `values` are those it lets go from, where they are others
    than those asked about: the ones with which it holds most.
    """

    drive: str
    then: str
    goes: str
    rests: str
    way: str
    known: bool
    falls: bool
    strikes: bool
    rest: int | None
    struck: int | None
    values: Values | None


@dataclass(frozen=True, slots=True)
class LyingView:
    """How the figure can lie: rows of what, and what was found of it.

    `rest` is the pose of the picture, null where none was found.
    """

    rows: tuple[tuple[str, str], ...]
    rest: int | None


@dataclass(frozen=True, slots=True)
class LossView:
    """What becomes of the pose at `values`. `share` of 1 is done of the work, of which `drives` are there so far.

    All else is known in the end: `worst` those that may not sleep, where they hold most; `all_at_once`, as power goes;
    `signal` what each drive does when values stop coming and what its servo then holds, N*m, and `after` how the
    figure lies then, null where the file does not say what drives do. `links` are the poses of the picture. `watched`
    tells how many pairs of parts were, `left_out` which were not. `stopped`: it was asked to stop; what was not
    looked at says so.
    """

    phase: Literal["looking", "done"]
    share: float
    stopped: bool
    values: Values
    drives: tuple[FallView, ...]
    worst: tuple[FallView, ...]
    all_at_once: LyingView | None
    signal: tuple[tuple[str, str, str], ...]
    after: LyingView | None
    links: Floats
    watched: str
    left_out: tuple[LeftOutView, ...]
    findings: tuple[FindingView, ...]
