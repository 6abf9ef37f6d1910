"""Recorded streams as CSV: `time,universe,address,value`, one row for each slot that changed.

Times are seconds and never go back; rows of one time arrive together, so that coarse and fine bytes
change as one. Empty rows and rows that start with # are left out.
"""

from __future__ import annotations

import csv
import io
import math
from itertools import groupby
from operator import itemgetter

from posekit.errors import Finding, PosekitError, error, note
from posekit.motion.recording import Recorder
from posekit.motion.shows import Show, some
from posekit.prop.model import Prop
from posekit.signal.snapshot import SLOTS, TOP, TOP_UNIVERSE, Slot

HEADER = ("time", "universe", "address", "value")

Row = tuple[int, float, Slot, int]  # row number, time [s], slot, value


def read(prop: Prop, content: bytes, name: str) -> Show:
    """The show in a CSV file. Rows that cannot be used are left out and told, each with its number.

    PosekitError if no row can be used.
    """
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        line = content[: problem.start].count(b"\n") + 1
        raise PosekitError([error("not-utf8", "", "is not UTF-8 text", file=name, line=line)]) from problem
    rows, bad = _rows(text, name)
    if not rows:
        nothing = error("empty-show", "", f"has no row that can be used; rows are {','.join(HEADER)}", file=name)
        raise PosekitError([*some(bad, "rows"), nothing])
    recorder = Recorder(prop)
    spare: dict[Slot, int] = {}
    for time, together in groupby(rows, key=itemgetter(1)):
        changes = []
        for number, _, slot, value in together:
            changes.append((slot, value))
            if not recorder.is_patched(slot):
                spare.setdefault(slot, number)
        recorder.take(time, changes)
    unpatched = [
        note("unpatched", f"row {row}", f"no drive of this prop uses universe {u} address {a}", file=name, line=row)
        for (u, a), row in spare.items()
    ]
    times, values = recorder.frames()
    findings = (*some(bad, "rows"), *some(unpatched, "addresses"), *recorder.silent())
    return Show(name, times, values, findings)


def _rows(text: str, name: str) -> tuple[list[Row], list[Finding]]:
    """The rows that can be used, and an error for each other one."""
    reader = csv.reader(io.StringIO(text), skipinitialspace=True)
    rows: list[Row] = []
    bad: list[Finding] = []
    latest = -math.inf
    header_seen = False
    for cells in reader:
        number = reader.line_num
        if not cells or not any(cells) or cells[0].lstrip().startswith("#"):
            continue
        if not header_seen:
            header_seen = True
            if tuple(cell.strip().lower() for cell in cells) != HEADER:
                sentence = f"starts with '{','.join(cells)[:60]}'; the first row must be {','.join(HEADER)}"
                raise PosekitError([error("wrong-header", f"row {number}", sentence, file=name, line=number)])
            continue
        row = _row(number, cells)
        if isinstance(row, tuple) and row[1] < latest:
            row = f"time {cells[0].strip()} s goes back, from {latest:g} s; times must not fall"
            bad.append(error("times-going-back", f"row {number}", row, file=name, line=number))
        elif isinstance(row, tuple):
            latest = row[1]
            rows.append(row)
        else:
            bad.append(error("bad-row", f"row {number}", row, file=name, line=number))
    return rows, bad


def _row(number: int, cells: list[str]) -> Row | str:
    """The row, or what is wrong with it."""
    if len(cells) != 4:
        return f"has {len(cells)} cells; right are 4: {','.join(HEADER)}"
    try:
        time = float(cells[0])
        universe, address, value = (int(cell) for cell in cells[1:])
    except ValueError:
        return f"'{','.join(cells)[:60]}' is not a time [s] and three whole numbers, such as 0.023,1,9,128"
    if not math.isfinite(time):
        return f"time '{cells[0]}' is no finite number"
    if not 1 <= universe <= TOP_UNIVERSE:
        return f"universe {universe} is not from 1 to {TOP_UNIVERSE}"
    if not 1 <= address <= SLOTS:
        return f"address {address} is not from 1 to {SLOTS}"
    if not 0 <= value <= TOP:
        return f"value {value} is not from 0 to {TOP}"
    return number, time, (universe, address), value
