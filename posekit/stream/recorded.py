"""Recorded streams as CSV: `time,universe,address,value`, one row for each slot that changed.

Times are seconds and never go back; the show counts them from the first row, so that those of any clock do.
Rows of one time arrive together, so that coarse and fine bytes change as one. Empty rows and rows that start
with # are left out.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from itertools import groupby
from operator import itemgetter

from posekit.budgets import DAY_S, RECORDED_ROWS
from posekit.errors import PosekitError, error
from posekit.prop.model import Prop
from posekit.signal.snapshot import SLOTS, TOP, TOP_UNIVERSE, Slot
from posekit.stream.few import Few
from posekit.stream.recorder import Recorder
from posekit.stream.show import Show
from posekit.text import cell_number, exact, short, two_readings, whole
from posekit.textfile import decoded, rows

HEADER = ("time", "universe", "address", "value")

Row = tuple[int, float, Slot, int]  # row number, time [s], slot, value


def read(prop: Prop, content: bytes, name: str) -> Show:
    """The show in a CSV file. Rows that cannot be used are left out and told, each with its number.

    PosekitError if no row can be used.
    """
    recorder, bad, spare = Recorder(prop), Few("rows"), Few("addresses")
    met: set[Slot] = set()
    begin = None
    for time, together in groupby(_rows(decoded(content, name), name, bad), key=itemgetter(1)):
        changes = []
        for number, _, slot, value in together:
            changes.append((slot, value))
            if not recorder.is_patched(slot) and slot not in met:
                met.add(slot)
                sentence = f"no drive of this prop uses universe {slot[0]}, address {slot[1]}"
                spare.add("note", "unpatched", f"row {number}", sentence, name, number)
        begin = time if begin is None else begin
        recorder.take(time - begin, changes)
    if begin is None:
        sentence = f"has no row that can be used; rows are {','.join(HEADER)}"
        raise PosekitError([*bad.told(), error("empty-show", "", sentence, file=name)])
    times, values = recorder.frames()
    return Show(name, times, values, (*bad.told(), *spare.told(), *recorder.findings()))


def _rows(text: str, name: str, bad: Few) -> Iterator[Row]:
    """The rows that can be used; an error for each other one goes to `bad`."""
    begin = latest = None
    for count, (number, cells) in enumerate(rows(text, HEADER, name), start=1):
        if count > RECORDED_ROWS:
            sentence = (
                f"and all rows after it were left out: at most {RECORDED_ROWS} are read; record it in parts"
            )
            bad.add("error", "too-many-rows", f"row {number}", sentence, name, number)
            return
        row = _row(number, cells)
        if row is None:
            bad.add("error", "bad-row", f"row {number}", partial(_wrong, cells), name, number)
            continue
        time = row[1]
        begin = time if begin is None else begin
        if latest is not None and time < latest:
            sentence = f"time {cells[0]} s goes back, from {exact(latest)} s; times must not fall"
            bad.add("error", "times-going-back", f"row {number}", sentence, name, number)
        elif time - begin > DAY_S:
            sentence = f"time {cells[0]} s is {exact(time - begin)} s after the first row; use {exact(DAY_S)} s or less"
            bad.add("error", "times-too-far", f"row {number}", sentence, name, number)
        else:
            latest = time
            yield row


def _row(number: int, cells: list[str]) -> Row | None:
    """The row; None where its cells are none."""
    if len(cells) != 4:
        return None
    time, (universe, address, value) = cell_number(cells[0]), map(whole, cells[1:])
    if time is None or universe is None or address is None or value is None:
        return None
    right = 1 <= universe <= TOP_UNIVERSE and 1 <= address <= SLOTS and 0 <= value <= TOP
    return (number, time, (universe, address), value) if right else None


def _wrong(cells: list[str]) -> str:
    """Why cells are no row."""
    if len(cells) != 4:
        return f"has {len(cells)} cells; right are 4: {','.join(HEADER)}"
    if either := two_readings(cells[0]):
        return f"time {cells[0]} {either}"
    universe, address, value = map(whole, cells[1:])
    if cell_number(cells[0]) is None or universe is None or address is None or value is None:
        return f"'{short(cells)}' is not a time [s] and three whole numbers, such as 0.023,1,9,128"
    if not 1 <= universe <= TOP_UNIVERSE:
        return f"universe {universe} is not from 1 to {TOP_UNIVERSE}"
    if not 1 <= address <= SLOTS:
        return f"address {address} is not from 1 to {SLOTS}"
    return f"value {value} is not from 0 to {TOP}"
