"""What a receiver tells of the packets it heard: each kind of trouble once for a source, counted."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import NamedTuple

from posekit.budgets import SOURCES
from posekit.errors import Finding, Level
from posekit.stream.few import Few
from posekit.text import counted

NAMED = 3  # sources of one sentence that are named


class Kind(NamedTuple):
    """A kind of trouble with single packets: level, code, what is said of one packet and of several."""

    level: Level
    code: str
    one: str
    more: str


PREVIEW = Kind("note", "preview", "is a preview and was left out", "are previews and were left out")
START_CODE = Kind(
    "note",
    "start-code",
    "has a START code other than 0 and was left out",
    "have a START code other than 0 and were left out",
)
OUT_OF_ORDER = Kind(
    "warning", "out-of-order", "came out of order and was left out", "came out of order and were left out"
)
MISSING = Kind("warning", "packets-missing", "is missing by its number", "are missing by their numbers")
TOO_MANY = Kind(
    "warning",
    "too-many-sources",
    f"came from a source beyond the first {SOURCES} and was left out",
    f"came from more than {SOURCES} sources and were left out",
)

Key = tuple[Kind, str, str]  # with where it happened and the source


@dataclass
class Notices:
    """Findings in the order they arose, and counts of what happens packet by packet."""

    few: Few = field(default_factory=lambda: Few("gaps"))
    counted: Counter[Key] = field(default_factory=Counter)
    first: dict[Key, tuple[int, float]] = field(default_factory=dict)

    def count(self, kind: Kind, place: str, source: str, number: int, time: float, by: int = 1) -> None:
        """Packet `number` at `time` [s] was one of this kind, or showed that `by` others were."""
        key = (kind, place, source)
        self.counted[key] += by
        self.first.setdefault(key, (number, time))

    def gap(self, place: str, since: float, why: str, then: str) -> None:
        """No values came from `since` [s] on."""
        sentence = f"no data from {since:.3f} s on: {why}; the values stay as they were; it {then}"
        self.few.add("warning", "data-loss", place, sentence)

    def taken_over(self, place: str, time: float, why: str, left: str) -> None:
        """A source was lost at `time` [s] and another one is left."""
        self.few.add("note", "source-lost", place, f"{why} at {time:.3f} s; source '{left}' is left")

    def unsynchronised(self, place: str, address: int, last: float, until: str, taken: bool) -> None:
        """Values came for a synchronisation address without packets since `last` [s]; `taken` if they took effect."""
        sentence = f"no synchronisation packet for address {address} from {last:.3f} s until {until}; "
        if taken:
            sentence += "its source lets the values apply without them"
            self.few.add("note", "synchronisation-lost", place, sentence)
        else:
            sentence += "the values that wait for one stay as they are"
            self.few.add("warning", "synchronisation-lost", place, sentence)

    def equals(self, place: str, time: float, names: list[str]) -> None:
        """Sources of the same priority are heard together from `time` [s] on."""
        several = " and ".join(f"'{name}'" for name in names[:NAMED])
        if len(names) > NAMED:
            several += f" and {len(names) - NAMED} more"
        sentence = f"{several} have the same priority, from {time:.3f} s on; the one heard first is used"
        self.few.add("warning", "same-priority", place, sentence)

    def told(self) -> list[Finding]:
        """Everything there is to tell."""
        counts = Few("kinds of packets")
        for (kind, place, source), count in self.counted.items():
            sentence = self._counted((kind, place, source), count)
            counts.add(kind.level, kind.code, place, sentence)
        return [*self.few.told(), *counts.told()]

    def _counted(self, key: Key, count: int) -> str:
        kind, _, source = key
        number, time = self.first[key]
        whose = f" of '{source}'" if source else ""
        which, words = ("", kind.one) if count == 1 else ("first ", kind.more)
        return f"{counted(count, 'packet')}{whose} {words}; {which}at packet {number}, {time:.3f} s"
