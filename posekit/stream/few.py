"""Findings of a long file: the first few of each kind are told one by one, the others counted."""

from __future__ import annotations

from dataclasses import dataclass, field

from posekit.budgets import ALIKE_TOLD
from posekit.errors import Finding


@dataclass
class _Kind:
    first: list[Finding] = field(default_factory=list)
    more: int = 0
    last: Finding | None = None


@dataclass
class Few:
    """Takes any number of findings about `things` ("rows", "packets") in little memory."""

    things: str
    kinds: dict[str, _Kind] = field(default_factory=dict)

    def add(self, finding: Finding) -> None:
        """One more, told by itself if it is among the first of its code."""
        kind = self.kinds.setdefault(finding.code, _Kind())
        if len(kind.first) < ALIKE_TOLD:
            kind.first.append(finding)
        else:
            kind.more, kind.last = kind.more + 1, finding

    def told(self) -> list[Finding]:
        """The findings, by kind; after the first of each, how many more there are and where the last is."""
        return [finding for kind in self.kinds.values() for finding in self._told(kind)]

    def _told(self, kind: _Kind) -> list[Finding]:
        last = kind.last
        if last is None:
            return kind.first
        if kind.more == 1:
            return [*kind.first, last]
        rest = f"and {kind.more} more {self.things} like these, the last: {last.subject}"
        return [*kind.first, Finding(last.level, last.code, "", rest, last.file)]
