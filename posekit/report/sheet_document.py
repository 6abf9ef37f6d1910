"""The sheets for the install as a document: patch, wiring, pulses, motion, value to degrees; to tick and fill in."""

from __future__ import annotations

from posekit.errors import LEVELS, Finding
from posekit.output import markdown, paper
from posekit.output.cautions import CAUTIONS
from posekit.output.document import WRITE, Cell, Column, Document, Table, Words
from posekit.prop.fingerprint import for_people
from posekit.report.check import UNSEEN
from posekit.report.sheet import PERCENTS, Calibrated, Outlet, Sheet, Way, Wiring
from posekit.report.sheet_power import power_blocks
from posekit.text import counted, exact, printable, upward

TICK = Column("✓", "tick")
SIGNS = {"error": "Error", "warning": "Warning", "note": "Note"}


def sheet_html(sheet: Sheet, date: str, paper_size: paper.Paper | None = None) -> bytes:
    """The sheets as one HTML file to print."""
    return paper.encode(_sheet_document(sheet, date), paper_size, mark_of(sheet.fingerprint, date))


def sheet_markdown(sheet: Sheet, date: str) -> str:
    """The sheets as Markdown text."""
    return markdown.encode(_sheet_document(sheet, date))


def _sheet_document(sheet: Sheet, date: str) -> Document:
    """The sheets as they go on paper; `date` is that of the day."""
    return Document(
        title=f"{sheet.prop}: sheets for the install",
        facts=facts(sheet.fingerprint, date, ("servos", str(len(sheet.drives)))),
        blocks=(
            *findings_block(sheet.findings),
            _patch(sheet.outlets),
            _wiring(sheet.wiring),
            *power_blocks(sheet.strength),
            _pulses(sheet),
            _motion(sheet.drives),
            _positions(sheet.drives),
            Words("Cautions", CAUTIONS, whole=True),
        ),
    )


def facts(fingerprint: str, date: str, *more: tuple[str, str]) -> tuple[tuple[str, str], ...]:
    """What stands under the title of a printed document, with room for who fills it in."""
    return (
        ("prop fingerprint", for_people(fingerprint)),
        ("printed", date),
        *more,
        ("filled in by", WRITE),
        ("on", WRITE),
    )


def mark_of(fingerprint: str, date: str) -> str:
    """What stands at the foot of every page."""
    return f"posekit . prop {for_people(fingerprint)} . {date}"


def findings_block(findings: tuple[Finding, ...]) -> tuple[Words, ...]:
    """What the prop has to tell, the gravest first, and what was not looked at for it."""
    ordered = sorted(findings, key=lambda finding: LEVELS.index(finding.level))
    lines = tuple(f"{SIGNS[finding.level]}: {finding.sentence}" for finding in ordered)
    found = lines or ("Nothing found in drives, linkages and looks.",)
    return (Words("What posekit check tells", (*found, f"{UNSEEN}.")),)


def number(value: float, digits: int = 1) -> str:
    """A number as a sheet shows it: so many digits after the point at most, none that say nothing, and no -0."""
    return f"{round(value, digits) + 0.0:.{digits}f}".rstrip("0").rstrip(".") if digits else f"{value:.0f}"


def _stops_words(way: Way) -> str:
    """The hard stops of a joint in words."""
    return f"{exact(way.stops[0])} to {exact(way.stops[1])} {way.unit}" if way.stops else "none"


def _patch(outlets: tuple[Outlet, ...]) -> Table:
    columns = (
        Column("drive"), Column("servo"), Column("moves"), Column("output", "number"), Column("universe", "number"),
        Column("address", "number"), Column("bits", "number"), Column("as wired", "write"), TICK,
    )  # fmt: skip
    rows = tuple(
        (
            printable(o.drive), printable(o.servo), tuple(map(printable, o.joints)), str(o.output), str(o.universe),
            str(o.address) if o.last == o.address else f"{o.address} + {o.last}", str(o.bits), WRITE, "",
        )
        for o in outlets
    )  # fmt: skip
    note = (
        "Output counts the servos in the order of the prop file. Of two addresses the first is the coarse byte, the "
        "second the fine one."
    )
    return Table("Patch", columns, rows, note)


def _wiring(wiring: tuple[Wiring, ...]) -> Table:
    columns = (
        Column("universe"), Column("servos", "number"), Column("types"), Column("slots", "number"),
        Column("addresses"), Column("all stalled", "number"), Column("supply, fuse", "write"), TICK,
    )  # fmt: skip
    rows = tuple(
        (
            str(w.universe),
            str(sum(count for _, count in w.servos)),
            tuple(f"{count} x {printable(name)}" for name, count in w.servos),
            str(w.slots),
            ", ".join(str(a) if a == b else f"{a} to {b}" for a, b in w.spans),
            f"{upward(w.stall_a, 1)} A" + (f" and {counted(w.unknown, 'unknown')}" if w.unknown else ""),
            WRITE,
            "",
        )
        for w in wiring
    )
    note = "All stalled adds the stall currents of the servo types: what a jam of everything draws."
    return Table("Wiring by universe", columns, rows, note)


def _pulses(sheet: Sheet) -> Table:
    columns = (
        Column("drive"), Column("low µs", "number"), Column("middle µs", "number"), Column("high µs", "number"),
        Column("trim µs", "number"), Column("reverse"), Column("rest", "number"), Column("deadband", "number"),
        Column("low, set", "write"), Column("middle, set", "write"), Column("high, set", "write"), TICK,
    )  # fmt: skip
    rows = tuple(
        (
            printable(c.drive), exact(c.low_us), exact(c.middle_us), exact(c.high_us), exact(c.trim_us),
            "yes" if c.reverse else "no", (f"value {c.rest}", f"{number(c.rest_us)} µs"),
            (f"{exact(c.deadband_us)} µs", _values(c.deadband_values)), WRITE, WRITE, WRITE, "",
        )
        for c in sheet.drives
    )  # fmt: skip
    note = (
        "Low is the pulse at value 0, high at full scale. Deadband: the servo answers a change by so many values "
        "from wherever it is."
    )
    return Table("Calibration: pulses", columns, rows, note)


def _values(count: int | None) -> str:
    return "never" if count is None else counted(count, "value")


def _motion(drives: tuple[Calibrated, ...]) -> Table:
    columns = (
        Column("drive"), Column("hard stops"), Column("speed", "number"), Column("acceleration", "number"),
        Column("low to high", "number"), Column("measured", "write"), Column("low to middle", "number"),
        Column("measured", "write"), TICK,
    )  # fmt: skip
    rows = tuple(
        (
            printable(c.drive),
            tuple(
                f"{printable(way.joint)}: {_stops_words(way)}" if len(c.ways) > 1 else _stops_words(way)
                for way in c.ways
            ),
            _speed(c),
            "none" if c.acceleration is None else f"{exact(c.acceleration)} deg/s2",
            (seconds(c.times.whole_s), f"half way {seconds(c.times.half_s)}")
            if c.times.whole_s
            else "not known",
            WRITE,
            seconds(c.times.middle_s),
            WRITE,
            "",
        )
        for c in drives
    )
    note = (
        "Speed and acceleration are those of the servo's shaft; with 'servo' it is the speed of its data sheet. "
        "Times are without load, for a stopwatch: sent from value 0 to full scale at once, and when half of that way "
        "is passed; and sent from value 0 to the middle value, where it stops."
    )
    return Table("Calibration: stops and motion", columns, rows, note)


def _speed(c: Calibrated) -> tuple[str, ...]:
    if c.speed is None:
        return ("not known",)
    return (f"{number(c.speed)} deg/s", *(("(servo)",) if c.speed_of == "servo" else ()))


def seconds(time_s: float | None) -> str:
    """A time as a stopwatch shows it."""
    return "not known" if time_s is None else f"{time_s:.2f} s"


def _positions(drives: tuple[Calibrated, ...]) -> Table:
    columns = (
        Column("drive"), Column("joint"), *(Column(f"{percent} %", "number") for percent in PERCENTS), TICK,
    )  # fmt: skip
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (
            printable(c.drive),
            printable(way.joint),
            *(
                (f"value {value}", f"{number(pulse)} µs", f"{number(position)} {way.unit}", WRITE)
                for value, pulse, position in zip(c.values, c.pulses_us, way.positions, strict=True)
            ),
            "",
        )
        for c in drives
        for way in c.ways
    )
    note = "Where the joint then stands, all other drives at rest. On the line: what was measured."
    return Table("Calibration: value to degrees", columns, rows, note)
