"""Tables for people, JSON for machines."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import click
from rich.console import Console
from rich.table import Table
from rich.text import Text

from posekit.errors import LEVELS, Finding, alike, bounded, has_errors
from posekit.text import listed, printable

if TYPE_CHECKING:
    from posekit.clearance.left_out import LeftOut

# A sign and a word each, so that colour never carries meaning alone.
SIGNS = {"error": "✗", "warning": "!", "note": "·"}
OTHERS = 5  # subjects of which a note says the same; --json tells all of them one by one
STYLES = {"error": "bold red", "warning": "yellow", "note": "dim"}


def table(title: str, columns: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
    """Print a table under its title, or that there is none; a column whose name ends in `>` stands flush right."""
    # As Text all through: in a plain str, rich takes what stands in brackets for markup, and names have brackets.
    grid = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    for column in columns:
        grid.add_column(
            Text(printable(column.rstrip(">"))),
            justify="right" if column.endswith(">") else "left",
            overflow="fold",
        )
    for row in rows:
        grid.add_row(*(cell if isinstance(cell, Text) else Text(printable(str(cell))) for cell in row))
    console = _console()
    # A line of its own: as the title of the grid it is folded to the width of the columns.
    console.print(Text(printable(title if grid.rows else f"{title}: none"), style="bold"), soft_wrap=True)
    if grid.rows:
        console.print(grid)
    console.print()


def print_findings(findings: Iterable[Finding]) -> None:
    """Print findings, the gravest first; a line that says so where there are none."""
    ordered = bounded(sorted(findings, key=lambda finding: LEVELS.index(finding.level)))
    console = _console()
    for finding, others in alike(ordered):
        line = _line(finding)
        if others:
            line.append(printable(f"; the same for {listed(others, OTHERS)}"))
        console.print(line, soft_wrap=True)
    if not ordered:
        console.print("No problems found.")


def print_seen(findings: Sequence[Finding], unseen: str) -> None:
    """Print findings of what was looked at, and in a sentence what was not: where there are none, nothing is clear."""
    if findings:
        print_findings(findings)
    say(unseen)


def print_left_out(judged: int, left_out: Sequence[LeftOut]) -> None:
    """Print what clearance did not judge, and why, beside the number of pairs that it did."""
    from posekit.clearance.left_out import grouped, summary  # here, where clearance is loaded anyway

    lines = grouped(left_out)
    if lines:
        table(summary(judged, left_out), ("parts", "why"), lines)


def print_aside(findings: Iterable[Finding]) -> None:
    """Print findings on the error stream: why input cannot be used, or what the JSON has no place for."""
    console = Console(stderr=True, highlight=False)
    for finding in findings:
        console.print(_line(finding), soft_wrap=True)


def say(words: str, *, err: bool = False) -> None:
    """Print one line, in which words of others do nothing but stand there."""
    click.echo(printable(words), err=err)


def print_json(data: dict[str, Any]) -> None:
    """Print JSON. Only letters of ASCII stand in it, so that words of others are safe there as they are."""
    click.echo(json.dumps(data, indent=2, allow_nan=False, ensure_ascii=True))


def print_qr(rows: Sequence[str]) -> None:
    """Print a QR code, dark on light whatever the colours of the terminal: two rows of 0 and 1 a line."""
    pairs = zip(rows[::2], [*rows[1::2], "0" * len(rows[0])], strict=False)
    halves = {"00": " ", "10": "▀", "01": "▄", "11": "█"}
    # Its two colours are no ornament: without them it is light on dark, which cameras may not read. So it has them
    # where colours are not wanted, too.
    console = _console(no_color=False)
    for upper, lower in pairs:
        line = "".join(halves[above + below] for above, below in zip(upper, lower, strict=True))
        console.print(Text(line, style="#000000 on #ffffff"), soft_wrap=True)


def finish(findings: Iterable[Finding]) -> None:
    """End with exit status 1 if a finding is of level error."""
    if has_errors(findings):
        sys.exit(1)


def finding_marks(findings: Iterable[Finding]) -> Text:
    """The codes of some findings, with their signs, for a cell of a table."""
    return Text(", ").join(
        Text(f"{SIGNS[finding.level]} {finding.code}", style=STYLES[finding.level]) for finding in findings
    )


def _line(finding: Finding) -> Text:
    return Text(f"{SIGNS[finding.level]} {finding.level}: ", style=STYLES[finding.level]).append(
        Text(str(finding), style="default")
    )


def _console(no_color: bool | None = None) -> Console:
    # A pipe has no width; a table cut to 80 columns would lose what a person pipes it for.
    return Console(highlight=False, width=None if sys.stdout.isatty() else 200, no_color=no_color)


@contextmanager
def bars() -> Iterator[Callable[[str, int, int], None]]:
    """A bar on the error stream while work goes on, if a person watches: what is done, how far, of how much."""
    from rich.progress import Progress

    with Progress(console=Console(stderr=True), transient=True, disable=not sys.stderr.isatty()) as shown:
        task = shown.add_task("", total=None)
        yield lambda what, done, total: shown.update(task, description=what, completed=done, total=total)
