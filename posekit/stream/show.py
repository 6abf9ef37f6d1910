"""A show: what the drives are sent over time, whatever it comes from."""

from __future__ import annotations

from dataclasses import dataclass

from posekit.arrays import Array
from posekit.errors import Finding

LONGEST = 24 * 3600.0  # s, so that a slip of the pen or a clock that jumps does not fill the memory
TOLD = 10  # problems of one kind that are told one by one


@dataclass(frozen=True, slots=True)
class Show:
    """Drive values (T, D) that arrive at times (T,) [s], each held until the next.

    Of a file with faults this is what could be read; `findings` tell every fault, at level `error` where
    something of the show is missing.
    """

    name: str
    times: Array
    values: Array
    findings: tuple[Finding, ...] = ()

    @property
    def duration(self) -> float:
        """Time [s] from the first frame to the last."""
        return float(self.times[-1] - self.times[0])


def some(findings: list[Finding], what: str) -> list[Finding]:
    """The findings, or where they are many, the first of them and how many more there are of the same kind."""
    if len(findings) <= TOLD + 1:
        return findings
    last = findings[-1]
    rest = f"and {len(findings) - TOLD} more {what} like these, the last: {last.subject}"
    return [*findings[:TOLD], Finding(last.level, last.code, "", rest, last.file)]
