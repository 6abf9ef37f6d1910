"""`posekit sheet`: patch and calibration sheets and setting cards, to print, to fill in and to read back."""

from __future__ import annotations

from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import Any

import click

import posekit
from posekit.budgets import MEASURED_BYTES
from posekit.cli.files import must_be_free, write_result
from posekit.cli.options import force_option, json_option, model_argument
from posekit.cli.printing import finish, print_findings, print_json, print_seen, say
from posekit.cli.sheet_printing import print_cards, print_comparison, print_sheet
from posekit.errors import PosekitError, error
from posekit.output.paper import PAPERS, Paper
from posekit.paths import read_within
from posekit.prop.reader import prop_path
from posekit.report.cards import Cards, cards
from posekit.report.cards_document import cards_html, cards_markdown
from posekit.report.check import UNSEEN
from posekit.report.figures import figures_csv
from posekit.report.measured import compare
from posekit.report.sheet import Sheet, sheet
from posekit.report.sheet_document import sheet_html, sheet_markdown
from posekit.report.sheet_strength import sheet_strength
from posekit.report.steps import read_steps
from posekit.text import listed

ENDINGS = (".html", ".csv", ".md")
FILLED = "give the .csv of a sheet, filled in"
TIMES = "give a CSV with the columns drive,setting,step,seconds"


@click.command("sheet")
@model_argument
@click.option("-o", "--output", metavar="FILE", help="Write it: .html to print, .csv (sheets only) or .md.")
@click.option("--cards", "as_cards", is_flag=True, help="Setting cards, one a drive, in place of the sheets.")
@click.option(
    "--steps",
    metavar="FILE.csv",
    help="For cards: drive,setting,step,seconds as timed from low to high at some steps of the controller.",
)
@click.option(
    "--compare",
    "filled",
    metavar="FILE.csv",
    help="Compare a .csv of the sheets that was filled in with MODEL.",
)
@click.option(
    "--paper",
    type=click.Choice(list(PAPERS)),
    help="The paper of an .html; without it, what the printer has.",
)
@json_option
@force_option
def command(
    model: str,
    output: str | None,
    as_cards: bool,
    steps: str | None,
    filled: str | None,
    paper: Paper | None,
    as_json: bool,
    force: bool,
) -> None:
    """Sheets for the install of MODEL: patch, wiring and calibration, to tick and to fill in; or setting cards.

    Without -o they are printed. The .csv has a column for what was measured: filled in, --compare tells what differs
    and which key of the prop file would change. Nothing is changed.
    """
    _one_of(as_cards=as_cards, steps=steps, filled=filled, output=output)
    ending = _ending(output, as_cards=as_cards, force=force)
    prop = posekit.load(model)
    file = str(prop_path(model))
    if filled is not None:
        found = compare(prop, read_within(filled, MEASURED_BYTES, "a filled-in sheet", FILLED), filled)
        if as_json:
            print_json(found.as_dict())
        else:
            print_comparison(found)
            print_findings(found.findings)
        return finish(found.findings)
    timed = (
        ()
        if steps is None
        else read_steps(read_within(steps, MEASURED_BYTES, "a table of times", TIMES), steps)
    )
    report = cards(prop, timed, file=file) if as_cards else sheet(prop, file, sheet_strength(prop))
    if output is not None:
        write_result(output, _encoded(report, ending, paper), ending, force=force)
    if as_json:
        print_json(_as_data(report))
    else:
        if output is None:
            print_cards(report) if isinstance(report, Cards) else print_sheet(report)
        print_seen(report.findings, f"{UNSEEN}.")
        if output is not None:
            say(f"Wrote {output}.")
    return finish(report.findings)


def _one_of(*, as_cards: bool, steps: str | None, filled: str | None, output: str | None) -> None:
    """Refuse options that have nothing to do with each other."""
    if steps is not None and not as_cards:
        raise click.UsageError("--steps goes with --cards")
    if filled is not None and (as_cards or output is not None):
        raise click.UsageError("--compare goes without --cards and -o: it compares, and writes nothing")


def _ending(output: str | None, *, as_cards: bool, force: bool) -> str:
    """The ending of the file to write, if it is one of what is asked for and may be written."""
    if output is None:
        return ""
    ending = Path(output).suffix.lower()
    endings = [each for each in ENDINGS if each != ".csv" or not as_cards]
    if ending not in endings:
        sentence = f"cannot be written: use a name that ends in {listed(endings)}"
        raise PosekitError([error("wrong-file", "", sentence, file=output)])
    must_be_free(output, ending, force=force)
    return ending


def _encoded(report: Sheet | Cards, ending: str, paper: Paper | None) -> bytes:
    today = date.today().isoformat()
    if isinstance(report, Cards):
        return cards_markdown(report, today).encode() if ending == ".md" else cards_html(report, today, paper)
    if ending == ".csv":
        return figures_csv(report)
    return sheet_markdown(report, today).encode() if ending == ".md" else sheet_html(report, today, paper)


def _as_data(report: Sheet | Cards) -> dict[str, Any]:
    if isinstance(report, Cards):
        return report.as_dict()
    return {**asdict(report), "findings": [finding.as_dict() for finding in report.findings]}
