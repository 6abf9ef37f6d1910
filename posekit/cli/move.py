"""`posekit move`: whether parts strike on the way from one look to another, as the servos really go."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import click
import numpy as np

import posekit
from posekit.clearance import solids
from posekit.clearance.cover import shape_findings
from posekit.clearance.moves import MoveVerdict
from posekit.cli.files import snapshot_of
from posekit.cli.printing import VERDICTS, finish, print_findings, print_json, table
from posekit.errors import Finding, error, warning
from posekit.report.move import between


@click.command("move")
@click.argument("model")
@click.argument("start")
@click.argument("goal")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
def command(model: str, start: str, goal: str, as_json: bool) -> None:
    """Tell whether parts of MODEL strike while it goes from the look START to the look GOAL.

    Each drive goes as fast as its own speed and acceleration allow, so they do not arrive together. Nothing
    between two frames is missed. START and GOAL are snapshots as for `posekit pose`.
    """
    prop = posekit.load(model)
    ends = [posekit.pose(prop, snapshot_of(prop, given)) for given in (start, goal)]
    from_values, to_values = (np.array([state.values[drive.name] for drive in prop.drives]) for state in ends)
    verdicts = between(prop, from_values, to_values)
    findings = [*findings_of(verdicts), *shape_findings(prop, solids(prop))]
    findings += [finding for state in ends for finding in state.findings]
    if as_json:
        pairs = [verdict.as_dict() for verdict in verdicts]
        print_json(
            {"prop": prop.name, "pairs": pairs, "findings": [finding.as_dict() for finding in findings]}
        )
    else:
        rows = (
            (" - ".join(each.pair), VERDICTS[each.verdict], shown(each.at_s, 3), shown(each.clear_by_mm, 1))
            for each in verdicts
        )
        table(f"{prop.name}: from {start} to {goal}", ("pair", "verdict", "at s>", "clear by mm>"), rows)
        print_findings(findings)
    finish(findings)


def findings_of(verdicts: Iterable[MoveVerdict]) -> Iterator[Finding]:
    """What a move has to tell."""
    for verdict in verdicts:
        if verdict.at_s is None or verdict.values is None:
            continue
        where = ", ".join(f"{name} {value}" for name, value in verdict.values.items())
        when = f"after {verdict.at_s:.3f} s" + (f", near {where}" if where else "")
        if verdict.verdict == "strikes":
            yield error("strikes", " - ".join(verdict.pair), f"touch or overlap first {when}")
        else:
            yield warning("open", " - ".join(verdict.pair), f"too near to tell {when}")


def shown(number: float | None, digits: int) -> str:
    """A number, or a dash for none."""
    return "-" if number is None else f"{number:.{digits}f}"
