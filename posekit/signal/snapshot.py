"""Snapshots: slot values of one or more universes at one instant, read from files or from typed text."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType

from posekit.budgets import SNAPSHOT_BYTES
from posekit.errors import Faults, Finding, PosekitError, error
from posekit.paths import read_within, too_large
from posekit.text import cell_number, short, whole
from posekit.textfile import decoded, json_value, rows

SLOTS = 512  # data slots of a universe, ANSI E1.11
TOP = 255  # largest slot value
TOP_UNIVERSE = 63999  # ANSI E1.31, 6.2.7

Slot = tuple[int, int]  # universe, address
Row = tuple[str, str, str, str]  # where it stands, universe, address, value: as found

_HEADER = ("universe", "address", "value")
_RIGHT = "write rows universe,address,value, or text such as 1/9@128"
_SPACE_BEFORE_PERCENT = re.compile(r"\s+%$")  # as print has it


@dataclass(frozen=True, slots=True)
class Snapshot:
    """Slot values 0..255 by (universe, address). A 16-bit drive reads two of them, coarse and fine.

    `notes` are what whoever made it has to tell, with whatever comes of it. Raises PosekitError for what is no slot
    or no slot value.
    """

    slots: Mapping[Slot, int]
    notes: tuple[Finding, ...] = field(default=(), compare=False, repr=False)

    def __post_init__(self) -> None:
        right = f"use (1..{TOP_UNIVERSE}, 1..{SLOTS}): 0..{TOP}, such as (1, 9): 128"
        strange = [(slot, value) for slot, value in self.slots.items() if not _is_entry(slot, value)]
        if strange:
            raise PosekitError(
                error("bad-slot", "snapshot", f"found {slot!r}: {value!r}; {right}")
                for slot, value in strange
            )
        object.__setattr__(self, "slots", MappingProxyType(dict(sorted(self.slots.items()))))

    @staticmethod
    def read(path: str | Path) -> Snapshot:
        """The snapshot in a .csv, .json, .bin or .txt file. Raises PosekitError with every bad row at once."""
        place = Path(path)
        content = read_within(place, SNAPSHOT_BYTES, "a snapshot")
        return Snapshot.decode(content, place.suffix, str(place))

    @staticmethod
    def decode(content: bytes, suffix: str, name: str = "snapshot") -> Snapshot:
        """The snapshot in the bytes of a file with that suffix; `name` is how messages call it.

        Pasted text has no suffix: it is JSON, CSV or typed, as it begins.
        """
        if len(content) > SNAPSHOT_BYTES:
            raise too_large(len(content), SNAPSHOT_BYTES, name, "a snapshot")
        if not content.strip():
            raise PosekitError([error("empty", "", f"is empty; {_RIGHT}", file=name)])
        match suffix.lower() or _form(content):
            case ".bin":
                return _frame(content, name)
            case ".json":
                return _collect(_json_rows(decoded(content, name), name), name)
            case ".csv":
                return _collect(_csv_rows(decoded(content, name), name), name)
            case ".txt":
                if (typed := Snapshot.parse(decoded(content, name), name)).slots:
                    return typed
                raise PosekitError([error("empty", "", f"holds no value; {_RIGHT}", file=name)])
        sentence = (
            f"does not have the name of a snapshot ({suffix}); use .csv, .json, .bin (512 bytes) or .txt"
        )
        raise PosekitError([error("unreadable", "", sentence, file=name)])

    @staticmethod
    def parse(text: str, name: str = "snapshot") -> Snapshot:
        """The snapshot in typed text such as `1/9@128, 1/10@50%`; universe 1 may be left out."""
        return _collect(_typed_rows(text), name)

    def csv(self) -> str:
        """As CSV text."""
        lines = (f"{universe},{address},{value}\n" for (universe, address), value in self.slots.items())
        return ",".join(_HEADER) + "\n" + "".join(lines)

    def json(self) -> str:
        """As JSON text: {"1": {"9": 128}}."""
        by_universe: dict[str, dict[str, int]] = {}
        for (universe, address), value in self.slots.items():
            by_universe.setdefault(str(universe), {})[str(address)] = value
        return json.dumps(by_universe)

    def text(self) -> str:
        """As text to type: `1/9@128, 1/10@50`."""
        return ", ".join(f"{universe}/{address}@{value}" for (universe, address), value in self.slots.items())


def _form(content: bytes) -> str:
    """The suffix that a file with this text would have."""
    lines = (line.strip() for line in content.removeprefix(b"\xef\xbb\xbf").splitlines())
    start = next((line[:1].lower() for line in lines if line and not line.startswith(b"#")), b"")
    return ".json" if start == b"{" else ".csv" if start in (b"u", b'"') else ".txt"


def _is_entry(slot: object, value: object) -> bool:
    match slot, value:
        case (bool(), _) | (_, bool()), _:  # to Python they are whole numbers
            return False
        case (int(universe), int(address)), int(level) if not isinstance(level, bool):
            return 1 <= universe <= TOP_UNIVERSE and 1 <= address <= SLOTS and 0 <= level <= TOP
    return False


def _frame(content: bytes, name: str) -> Snapshot:
    if len(content) != SLOTS:
        sentence = f"has {len(content)} bytes; a raw frame is {SLOTS} slot values without the start code"
        raise PosekitError([error("wrong-length", "", sentence, file=name)])
    return Snapshot({(1, address): value for address, value in enumerate(content, start=1)})


def _csv_rows(text: str, name: str) -> Iterator[Row]:
    for line, cells in rows(text, _HEADER, name):
        if len(cells) == len(_HEADER):
            yield f"row {line}", cells[0], cells[1], cells[2]
        else:
            yield f"row {line}", short(cells), "", ""


def _json_rows(text: str, name: str) -> Iterator[Row]:
    # JSON itself keeps the last of two equal keys; a double entry must be told instead. So a table is a tuple of
    # pairs here, which no list of JSON is.
    try:
        universes = json_value(text, tuple)
    except ValueError as problem:
        raise PosekitError([error("not-json", "", f"is not JSON: {problem}", file=name)]) from problem
    right = 'write {"1": {"9": 128}}: universe, address, value'
    if not isinstance(universes, tuple) or not all(isinstance(slots, tuple) for _, slots in universes):
        raise PosekitError([error("wrong-type", "", f"is not a table of universes; {right}", file=name)])
    for universe, slots in universes:
        for address, value in slots:
            found = value if isinstance(value, str) else json.dumps(value)
            yield f'"{universe}"."{address}"', universe, address, found


def _typed_rows(text: str) -> Iterator[Row]:
    for number, line in enumerate(text.splitlines(), start=1):
        for entry in re.split(r"[,;]", line.split("#")[0]):
            if not entry.strip():
                continue
            row = f"line {number}: '{entry.strip()}'"
            slot, _, value = entry.partition("@")
            universe, _, address = slot.partition("/") if "/" in slot else ("1", "", slot)
            cells = universe.strip(), address.strip(), _SPACE_BEFORE_PERCENT.sub("%", value.strip())
            if all(cells) and not any(map(_has_space, cells)):
                yield row, *cells
            else:
                yield row, entry.strip(), "", ""


def _has_space(cell: str) -> bool:
    return len(cell.split()) > 1


def _collect(entries: Iterable[Row], name: str) -> Snapshot:
    slots: dict[Slot, int] = {}
    faults = Faults(name)
    first: dict[Slot, str] = {}
    for row, *cells in entries:
        slot, value, problems = _entry(*cells)
        for problem in problems:
            faults.add("bad-row", row, problem)
        if problems:
            continue
        if slot in first:
            sentence = (
                f"universe {slot[0]}, address {slot[1]} is given already in {first[slot]}; give it once"
            )
            faults.add("double-entry", row, sentence)
        first.setdefault(slot, row)
        slots[slot] = value
    faults.refuse()
    return Snapshot(slots)


def _entry(universe: str, address: str, value: str) -> tuple[Slot, int, list[str]]:
    if not address and not value:
        return (
            (0, 0),
            0,
            [f"found '{universe}'; give universe, address and value, such as 1,9,128 or 1/9@128"],
        )
    problems: list[str] = []
    numbers = (
        _whole("universe", universe, 1, TOP_UNIVERSE, problems),
        _whole("address", address, 1, SLOTS, problems),
    )
    return numbers, _level(value, problems), problems


def _level(found: str, problems: list[str]) -> int:
    if not found.endswith("%"):
        return _whole("value", found, 0, TOP, problems)
    percent = cell_number(found[:-1].rstrip())
    if percent is None or not 0 <= percent <= 100:
        problems.append(f"value {found} is not a percentage from 0% to 100%")
        return 0
    return int(percent * TOP / 100 + 0.5)  # half rounds up: 50 % is 128, the middle


def _whole(what: str, found: str, least: int, most: int, problems: list[str]) -> int:
    given = whole(found)
    if given is not None and least <= given <= most:
        return given
    problems.append(f"{what} '{found}' is not a whole number from {least} to {most}")
    return 0
