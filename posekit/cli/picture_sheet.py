"""`posekit export --sheet`: all looks, or those that are named, from three sides, to print or as a picture."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import posekit
from posekit.cli.browser import drawn
from posekit.cli.files import given_snapshot, must_be_free, write_result
from posekit.cli.printing import bars, finish, print_findings, print_json, say
from posekit.errors import PosekitError, error
from posekit.output.paper import Paper
from posekit.prop.reader import prop_path
from posekit.report.pictures import Named, PictureSheet, picture_steps
from posekit.report.pictures_document import pictures_html
from posekit.stepwise import finished
from posekit.text import counted, listed

ENDINGS = (".html", ".pdf", ".png")


def write_sheet(
    model: str, given: tuple[str, ...], file: str, paper: Paper | None, *, as_json: bool, force: bool
) -> None:
    """Write the picture sheet of a model; of the looks and snapshots that are given, else of all its looks."""
    ending = Path(file).suffix.lower()
    if ending not in ENDINGS:
        sentence = f"cannot be written: use a name that ends in {listed(ENDINGS)}"
        raise PosekitError([error("wrong-file", "--sheet", sentence, file=file)])
    must_be_free(file, ending, force=force)
    prop = posekit.load(model)
    named = [(each, given_snapshot(prop, each)) for each in given] or None
    made = _made(prop, named, str(prop_path(model)))
    html = pictures_html(made, date.today().isoformat(), paper)
    write_result(file, html if ending == ".html" else drawn(html, ending), ending, force=force)
    findings = tuple(
        dict.fromkeys([*made.findings, *(each for look in made.looks for each in look.findings)])
    )
    if as_json:
        told = [finding.as_dict() for finding in findings]
        looks = [look.name for look in made.looks]
        print_json({"prop": prop.name, "file": file, "looks": looks, "bar_mm": made.bar_mm, "findings": told})
    else:
        print_findings(findings)
        say(f"Wrote {file}: {counted(len(made.looks), 'look')} from three sides.")
    finish(findings)


def _made(prop: posekit.Prop, named: list[Named] | None, file: str) -> PictureSheet:
    with bars() as show:
        return finished(picture_steps(prop, named, file=file), lambda state: show("looks", *state))
