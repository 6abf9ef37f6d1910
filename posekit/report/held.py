"""What each servo holds in a pose, sorted against the lines of good practice: what bars are drawn of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Literal

from posekit.report.stall import GOOD_SHARE, MOST_SHARE

# cool: up to a third of the stall torque; warm: up to half; hot: more; stalls: the servo cannot hold it.
Strain = Literal["cool", "warm", "hot", "stalls", "unknown"]
_SIGNS, _NAMES = {1 / 3: "⅓", 1 / 2: "½"}, {1 / 3: "a third", 1 / 2: "half"}
STRAINS: Mapping[str, str] = {
    "cool": "keeps cool",
    "warm": f"over {_NAMES.get(GOOD_SHARE, f'{GOOD_SHARE:.0%}')}",
    "hot": f"over {_NAMES.get(MOST_SHARE, f'{MOST_SHARE:.0%}')}: gets hot",
    "stalls": "cannot hold",
    "unknown": "not known",
}
# Beside a bar: shares of the stall torque, as they are written there.
SCALE: tuple[tuple[float, str], ...] = (
    (0.0, "0"),
    *((share, _SIGNS.get(share, f"{share:.0%}")) for share in (GOOD_SHARE, MOST_SHARE)),
    (1.0, "stall"),
)
NOTHING = 0.005  # of the stall torque: less is shown as 0 %


@dataclass(frozen=True, slots=True)
class Load:
    """A torque at a servo [N*m], None where it has no bound, as at a dead point of the linkage.

    `share` is of the stall torque, None where either is not known; `bar` how much of a bar it fills, from 0 to 1 at
    stall.
    """

    torque_nm: float | None
    share: float | None
    bar: float
    strain: Strain


def load_of(torque_nm: float, stall_nm: float | None) -> Load:
    """A torque of any sign, infinite where nothing could hold it, against a stall torque, None where not known."""
    finite = isfinite(torque_nm)
    if stall_nm is None or not stall_nm > 0.0:
        return Load(torque_nm if finite else None, None, 0.0, "unknown" if finite else "stalls")
    if not finite:
        return Load(None, None, 1.0, "stalls")
    share = abs(torque_nm) / stall_nm
    return Load(torque_nm, share, min(share, 1.0), _strain(share))


def _strain(share: float) -> Strain:
    if share > 1.0:
        return "stalls"
    return "hot" if share > MOST_SHARE else "warm" if share > GOOD_SHARE else "cool"


def most_strained(loads: Sequence[Load]) -> int | None:
    """The column of the servo that is nearest to its stall torque, or past it; None where none has anything to hold."""
    share = [_rank(load) for load in loads]
    most = max(share, default=0.0)
    return share.index(most) if most > NOTHING else None


def _rank(load: Load) -> float:
    if load.share is not None:
        return round(load.share, 6)  # of two alike the first, on whichever machine
    return float("inf") if load.strain == "stalls" else 0.0
