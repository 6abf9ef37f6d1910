"""Sheets that come back filled in: what was measured against what the prop file says, and which key would change.

Nothing is changed. What lies within what can be measured (TOLERANCE) counts as the same.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from posekit.budgets import MEASURED_BYTES
from posekit.errors import Faults, Finding, bounded, note, warning
from posekit.output.cells import text_cell
from posekit.paths import too_large
from posekit.prop.fingerprint import for_people
from posekit.prop.model import Prop
from posekit.report.figures import HEADER, RECKONED, Figure, figures
from posekit.report.remedies import Remedy, remedies
from posekit.report.sheet import sheet
from posekit.text import cell_number, counted, listed, short, two_readings
from posekit.textfile import decoded, rows

UNTICKED = (
    "",
    "false",
    "no",
    "0",
    "n",
    "-",
    "☐",
)  # in the column done; spreadsheets write FALSE for an empty box
MOST = 1e6  # a number beyond it was mistyped: the longest pulse has five digits, an address three


@dataclass(frozen=True, slots=True)
class Compared:
    """One figure that was measured; `off` is measured minus planned, None where nothing was planned.

    `differs` if that is more than can be measured.
    """

    figure: Figure
    measured: float
    off: float | None
    differs: bool


@dataclass(frozen=True, slots=True)
class Comparison:
    """What was measured on a sheet of this prop; `figures` counts all that could be, `ticked` the rows marked done.

    `of` is the fingerprint that the sheet was printed of, empty if it says none, and `now` that of the prop.
    `remedies` are the keys of the prop file that would change, with their values.
    """

    prop: str
    of: str
    now: str
    figures: int
    ticked: int
    compared: tuple[Compared, ...]
    remedies: tuple[Remedy, ...]
    findings: tuple[Finding, ...]

    @property
    def summary(self) -> str:
        """The comparison in a sentence."""
        return f"{len(self.compared)} of {self.figures} figures measured, {self.ticked} ticked. Nothing was changed."

    def as_dict(self) -> dict[str, Any]:
        """The comparison as the command line prints it."""
        return {
            "prop": self.prop,
            "of": self.of,
            "now": self.now,
            "figures": self.figures,
            "ticked": self.ticked,
            "compared": [
                {
                    "drive": each.figure.drive,
                    "joint": each.figure.joint,
                    "figure": each.figure.name,
                    "planned": each.figure.planned,
                    "measured": each.measured,
                    "off": each.off,
                    "unit": each.figure.unit,
                    "differs": each.differs,
                }
                for each in self.compared
            ],
            "remedies": [
                {"key": each.key, "was": each.was, "would_be": each.would_be, "why": each.why}
                for each in self.remedies
            ],
            "findings": [finding.as_dict() for finding in self.findings],
        }


def compare(prop: Prop, content: bytes, name: str) -> Comparison:
    """A filled-in CSV of `figures_csv` against a prop; `name` is how messages call the file.

    Commas or semicolons between cells, and with those a decimal comma, as spreadsheets of many countries save it.
    PosekitError with every row that cannot be read, and for more than `budgets.MEASURED_BYTES`.
    """
    if len(content) > MEASURED_BYTES:
        raise too_large(len(content), MEASURED_BYTES, name, "a filled-in sheet")
    made = sheet(prop)
    planned = {_key(f.drive, f.joint, f.name): f for f in figures(made)}
    filled = _filled(decoded(content, name), name, planned)
    found = [_compared(planned[key], number) for key, number in filled.numbers.items()]
    now = for_people(made.fingerprint)
    every = {(c.figure.drive, c.figure.joint, c.figure.name): c.measured for c in found}
    differing = {key: every[key] for key, c in zip(every, found, strict=True) if c.differs}
    fixes = tuple(remedies(prop, made, differing, every))
    findings = [
        *_old(filled.of, now),
        *filled.findings,
        *(warning("measured", each.key, each.sentence) for each in fixes),
        *_nothing(len(found), len(planned)),
    ]
    return Comparison(
        prop=prop.name,
        of=filled.of,
        now=now,
        figures=len(planned),
        ticked=filled.ticked,
        compared=tuple(found),
        remedies=fixes,
        findings=bounded(findings),
    )


_Key = tuple[str, str, str]


def _key(drive: str, joint: str, figure: str) -> _Key:
    """Names as cells that spreadsheets may have taken the apostrophe off."""
    return _bare(text_cell(drive)), _bare(text_cell(joint)), figure


def _bare(cell: str) -> str:
    return cell.strip().lstrip("'").strip()


@dataclass(frozen=True, slots=True)
class _Filled:
    numbers: Mapping[_Key, float]
    ticked: int
    of: str
    findings: tuple[Finding, ...]


def _filled(text: str, name: str, planned: Mapping[_Key, Figure]) -> _Filled:
    """What is filled in. PosekitError for numbers that are none, and for figures that are measured twice."""
    numbers: dict[_Key, float] = {}
    faults = Faults(name)
    unknown: list[str] = []
    reckoned: list[str] = []
    ticked, marks = 0, dict[str, None]()
    for line, cells in rows(text, HEADER, name):
        if len(cells) != len(HEADER):
            sentence = f"found '{short(cells)}'; keep the {len(HEADER)} columns of the sheet"
            faults.add("bad-row", f"row {line}", sentence, line)
            continue
        row = dict(zip(HEADER, cells, strict=True))
        ticked += row["done"].lower() not in UNTICKED
        marks[row["prop"]] = None
        if not row["measured"]:
            continue
        key = _bare(row["drive"]), _bare(row["joint"]), row["figure"]
        number = _number(row["measured"])
        if number is None:
            wrong = two_readings(row["measured"])
            sentence = f"measured is '{short([row['measured']])}'" + (
                f", which {wrong}" if wrong else "; give a number, or leave it empty"
            )
            faults.add("bad-row", f"row {line}", sentence, line)
        elif key in numbers:
            sentence = f"{short([row['drive'], row['figure']])} is measured twice; keep one"
            faults.add("double-entry", f"row {line}", sentence, line)
        elif key in planned:
            numbers[key] = number
        elif row["figure"] in RECKONED:
            reckoned.append(short([row["drive"], row["figure"]]))
        else:
            unknown.append(short([row["drive"], row["joint"], row["figure"]]))
    faults.refuse()
    told = f"this prop has no such figures, so they are not compared: {listed(unknown)}"
    aside = f"follows from masses and data sheets, and is not compared: {listed(reckoned)}"
    return _Filled(
        numbers,
        ticked,
        ", ".join(filter(None, marks)),
        (
            *((warning("unknown-figure", "", told),) if unknown else ()),
            *((note("reckoned-figure", "", aside),) if reckoned else ()),
        ),
    )


def _number(found: str) -> float | None:
    read = cell_number(found)
    return read if read is not None and abs(read) <= MOST else None


TOLERANCE = {
    "us": 2.0,
    "deg": 1.0,
    "mm": 0.5,
    "s": 0.15,
}  # what a meter, a protractor, a rule, a thumb are good to
SHARE = {"s": 0.1, "deg/s": 0.05, "deg/s2": 0.05}  # and of what is long or fast, in proportion


def _compared(figure: Figure, measured: float) -> Compared:
    if figure.planned is None:
        return Compared(figure, measured, None, True)
    off = measured - figure.planned
    allowed = max(TOLERANCE.get(figure.unit, 0.0), SHARE.get(figure.unit, 0.0) * abs(figure.planned))
    return Compared(figure, measured, off, abs(off) > allowed)


def _old(of: str, now: str) -> Iterator[Finding]:
    if of and of != now:
        sentence = f"the sheet was printed of another state of the prop ({of}); this one is {now}"
        yield note("other-prop", "", f"{sentence}, and what was measured is compared with that")


def _nothing(filled: int, all_of_them: int) -> Iterator[Finding]:
    if not filled:
        sentence = f"none of the {counted(all_of_them, 'figure')} is filled in: nothing was compared"
        yield note("not-filled-in", "", sentence)
