"""Findings of a long file: the first few of each kind are told one by one, the others counted and never made."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import NamedTuple

from posekit.budgets import ALIKE_TOLD
from posekit.errors import Finding, Level

Sentence = str | Callable[[], str]  # itself, or what puts it into words where it is told


class _Met(NamedTuple):
    level: Level
    subject: str
    sentence: Sentence
    file: str | None
    line: int | None


@dataclass
class _Kind:
    first: list[Finding] = field(default_factory=list)
    more: int = 0
    last: _Met | None = None


@dataclass
class Few:
    """Takes any number of findings about `things` ("rows", "packets") in little memory and time.

    A megabyte of rows may have a quarter of a million, of which nobody reads more than the first few.
    """

    things: str
    kinds: dict[str, _Kind] = field(default_factory=dict)

    def add(
        self,
        level: Level,
        code: str,
        subject: str,
        sentence: Sentence,
        file: str | None = None,
        line: int | None = None,
    ) -> None:
        """One more, told by itself if it is among the first of its code."""
        kind = self.kinds.setdefault(code, _Kind())
        met = _Met(level, subject, sentence, file, line)
        if len(kind.first) < ALIKE_TOLD:
            kind.first.append(_finding(code, met))
        else:
            kind.more, kind.last = kind.more + 1, met

    def told(self) -> list[Finding]:
        """The findings, by kind; after the first of each, how many more there are and where the last is."""
        return [finding for code, kind in self.kinds.items() for finding in self._told(code, kind)]

    def _told(self, code: str, kind: _Kind) -> list[Finding]:
        last = kind.last
        if last is None:
            return kind.first
        if kind.more == 1:
            return [*kind.first, _finding(code, last)]
        rest = f"and {kind.more} more {self.things} like these, the last: {last.subject}"
        return [*kind.first, Finding(last.level, code, "", rest, last.file)]


def _finding(code: str, met: _Met) -> Finding:
    sentence = met.sentence if isinstance(met.sentence, str) else met.sentence()
    return Finding(met.level, code, met.subject, sentence, met.file, met.line)
