"""`posekit fit`: from pulses and angles measured on the bench to a servo's `points`."""

from __future__ import annotations

import click

from posekit.budgets import MEASURED_BYTES
from posekit.cli.options import json_option
from posekit.cli.printing import finish, print_findings, print_json, table
from posekit.errors import Faults
from posekit.paths import read_within
from posekit.signal.fit import Fit, fit, out_of_range
from posekit.text import cell_number, exact, short
from posekit.textfile import decoded, rows

HEADER = ("us", "degrees")


@click.command("fit")
@click.argument("measured", metavar="MEASURED.csv")
@json_option
def command(measured: str, as_json: bool) -> None:
    """Fit a servo's points to what was MEASURED: a CSV with the header us,degrees.

    Prints the line for the prop file, the straight line through all pairs, and how far each pair lies off it.
    """
    pairs = read_measured(measured)
    fitted = fit(pairs, measured)
    if as_json:
        print_json(
            {
                "points": [list(point) for point in fitted.points],
                "slope_deg_per_us": fitted.slope,
                "neutral_deg": fitted.neutral_deg,
                "residuals_deg": fitted.residuals_deg.tolist(),
                "outliers": [row + 1 for row in fitted.outliers],
                "findings": [finding.as_dict() for finding in fitted.findings],
            }
        )
    else:
        _print(pairs, fitted)
    finish(fitted.findings)


def _print(pairs: list[tuple[float, float]], fitted: Fit) -> None:
    rows = (
        (row + 1, exact(us), exact(deg), f"{left:+.2f}", "left out" if row in fitted.outliers else "")
        for row, ((us, deg), left) in enumerate(zip(pairs, fitted.residuals_deg, strict=True))
    )
    table("Measured", ("pair>", "µs>", "degrees>", "off the line>", ""), rows)
    click.echo(f"Line: {fitted.slope:.5f} degrees per µs, {fitted.neutral_deg:+.2f} degrees at 1500 µs.")
    points = ", ".join(f"[{exact(us)}, {exact(deg)}]" for us, deg in fitted.points)
    click.echo(f"For the prop file, under [servos.NAME]:\npoints = [{points}]\n")
    print_findings(fitted.findings)


def read_measured(measured: str) -> list[tuple[float, float]]:
    """The (us, degrees) pairs of a CSV with the header us,degrees. PosekitError names every wrong row."""
    content = read_within(
        measured, MEASURED_BYTES, "a table of measured pairs", "give a CSV with the columns us,degrees"
    )
    pairs: list[tuple[float, float]] = []
    faults = Faults(measured)
    for line, cells in rows(decoded(content, measured), HEADER, measured):
        pair = _pair(cells)
        if pair is None:
            sentence = f"found '{short(cells)}'; give pulse and angle, such as 1500,0.5"
        else:
            sentence = out_of_range(*pair)
            pairs.append(pair)
        if sentence:
            faults.add("bad-row", f"row {line}", sentence, line)
    faults.refuse()
    return pairs


def _pair(row: list[str]) -> tuple[float, float] | None:
    numbers = [number for cell in row if (number := cell_number(cell)) is not None]
    return (numbers[0], numbers[1]) if len(numbers) == len(row) == 2 else None
