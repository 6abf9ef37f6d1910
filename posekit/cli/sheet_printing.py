"""The sheets, the cards and what was measured, as tables of the command line."""

from __future__ import annotations

import click

from posekit.cli.printing import say, table
from posekit.output.document import Table
from posekit.prop.fingerprint import for_people
from posekit.report.cards import Cards
from posekit.report.cards_document import watch_lines
from posekit.report.measured import Comparison
from posekit.report.sheet import Sheet
from posekit.report.sheet_document import number, seconds
from posekit.report.sheet_power import power_blocks
from posekit.text import exact, plain, signed


def print_sheet(report: Sheet) -> None:
    """Patch and calibration."""
    table(
        f"{report.prop}, {for_people(report.fingerprint)}: patch",
        ("output>", "drive", "servo", "moves", "universe>", "address>", "bits>"),
        (
            (o.output, o.drive, o.servo, ", ".join(o.joints), o.universe, o.address, o.bits)
            for o in report.outlets
        ),
    )
    _print_strength(report)
    table(
        "Calibration",
        ("drive", "low µs>", "middle µs>", "high µs>", "rest>", "low to high>", "joint", "at 0, 25, 50, 75, 100 %>"),
        (
            (
                c.drive, number(c.low_us), number(c.middle_us), number(c.high_us), c.rest, seconds(c.times.whole_s),
                way.joint, ", ".join(map(number, way.positions)) + f" {way.unit}",
            )
            for c in report.drives
            for way in c.ways
        ),
    )  # fmt: skip


def _print_strength(report: Sheet) -> None:
    for block in power_blocks(report.strength):
        if isinstance(block, Table):
            kept = [i for i, column in enumerate(block.columns) if column.kind not in ("write", "tick")]
            heads = [
                block.columns[i].title + (">" if block.columns[i].kind == "number" else "") for i in kept
            ]
            rows = [
                [row[i] if isinstance(row[i], str) else ", ".join(row[i]) for i in kept] for row in block.rows
            ]
            table(block.title, heads, rows)


def print_cards(report: Cards) -> None:
    """The cards without their pictures."""
    for card in report.cards:
        low, middle, high = (f"{number(position)} {card.unit}" for position in card.positions)
        say(f"{card.output}. {card.drive}: joint {card.joint}, low {low}, middle {middle}, high {high}")
        times = card.setting.times
        say(
            f"   low to high {seconds(times.whole_s)}, half way {seconds(times.half_s)}, "
            f"low to middle {seconds(times.middle_s)}"
        )
        for line in watch_lines(card):
            say(f"   {line}")
    click.echo()


def print_comparison(report: Comparison) -> None:
    """What was measured against what was planned."""
    table(
        f"{report.prop}: measured against the prop file",
        ("drive", "joint", "figure", "planned>", "measured>", "off>", "unit", ""),
        (
            (
                c.figure.drive,
                c.figure.joint,
                c.figure.name,
                "-" if c.figure.planned is None else plain(c.figure.planned, 6),
                exact(c.measured),
                "-" if c.off is None else signed(plain(c.off, 3)),
                c.figure.unit,
                "differs" if c.differs else "✓",
            )
            for c in report.compared
        ),
    )
    say(report.summary)
