"""`posekit sheet`: patch and calibration sheets for the install, to print, to fill in and to read back."""

from __future__ import annotations

from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import Any

import click

import posekit
from posekit.cli.files import must_be_free, write_result
from posekit.cli.options import force_option, json_option, model_argument
from posekit.cli.printing import finish, print_findings, print_json, say, table
from posekit.errors import PosekitError, error
from posekit.output.paper import PAPERS, Paper
from posekit.prop.fingerprint import for_people
from posekit.prop.reader import prop_path
from posekit.report.figures import figures_csv
from posekit.report.sheet import Sheet, sheet
from posekit.report.sheet_document import number, sheet_html, sheet_markdown
from posekit.text import listed

ENDINGS = (".html", ".csv", ".md")


@click.command("sheet")
@model_argument
@click.option("-o", "--output", metavar="FILE", help="Write the sheets: .html to print, .csv or .md.")
@click.option(
    "--paper",
    type=click.Choice(list(PAPERS)),
    help="The paper of an .html; without it, what the printer has.",
)
@json_option
@force_option
def command(model: str, output: str | None, paper: Paper | None, as_json: bool, force: bool) -> None:
    """Write the sheets for the install of MODEL: patch, wiring and calibration, to tick and to fill in.

    Without -o they are printed. The .csv has a column for what was measured.
    """
    ending = _ending(output, force=force)
    prop = posekit.load(model)
    report = sheet(prop, str(prop_path(model)))
    if output is not None:
        write_result(output, _encoded(report, ending, paper), ending, force=force)
    if as_json:
        print_json(_as_data(report))
    else:
        if output is None:
            _print(report)
        print_findings(report.findings)
        if output is not None:
            say(f"Wrote {output}.")
    finish(report.findings)


def _ending(output: str | None, *, force: bool) -> str:
    """The ending of the file to write, if it is one of a sheet and may be written."""
    if output is None:
        return ""
    ending = Path(output).suffix.lower()
    if ending not in ENDINGS:
        sentence = f"cannot be written: use a name that ends in {listed(ENDINGS)}"
        raise PosekitError([error("wrong-file", "", sentence, file=output)])
    must_be_free(output, ending, force=force)
    return ending


def _encoded(report: Sheet, ending: str, paper: Paper | None) -> bytes:
    today = date.today().isoformat()
    if ending == ".csv":
        return figures_csv(report)
    if ending == ".md":
        return sheet_markdown(report, today).encode()
    return sheet_html(report, today, paper)


def _as_data(report: Sheet) -> dict[str, Any]:
    return {**asdict(report), "findings": [finding.as_dict() for finding in report.findings]}


def _print(report: Sheet) -> None:
    table(
        f"{report.prop}, {for_people(report.fingerprint)}: patch",
        ("output>", "drive", "servo", "moves", "universe>", "address>", "bits>"),
        (
            (o.output, o.drive, o.servo, ", ".join(o.joints), o.universe, o.address, o.bits)
            for o in report.outlets
        ),
    )
    table(
        "Calibration",
        ("drive", "low µs>", "middle µs>", "high µs>", "rest>", "low to high s>", "joint", "at 0, 25, 50, 75, 100 %>"),
        (
            (
                c.drive, number(c.low_us), number(c.middle_us), number(c.high_us), c.rest,
                "not known" if c.times.whole_s is None else f"{c.times.whole_s:.2f}",
                way.joint, ", ".join(map(number, way.positions)) + f" {way.unit}",
            )
            for c in report.drives
            for way in c.ways
        ),
    )  # fmt: skip
