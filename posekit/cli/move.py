"""`posekit move`: whether parts strike on the way from one look to another, as the servos really go."""

from __future__ import annotations

import click

import posekit
from posekit.clearance.left_out import grouped
from posekit.cli.files import given_snapshot
from posekit.cli.options import json_option, model_argument
from posekit.cli.printing import finish, print_findings, print_json, table
from posekit.report.move import move_report
from posekit.report.verdict_words import SAID
from posekit.text import downward, exact


@click.command("move")
@model_argument
@click.argument("start")
@click.argument("goal")
@json_option
def command(model: str, start: str, goal: str, as_json: bool) -> None:
    """Check whether parts of MODEL strike, or come closer than the margin, on the way from look START to look GOAL.

    Each drive goes as fast as its own speed and acceleration allow, so they do not arrive together. Nothing
    between two frames is missed. START and GOAL are snapshots as for `posekit pose`. Exit status 0 if every checked
    pair is clear, else 1.
    """
    prop = posekit.load(model)
    report = move_report(prop, given_snapshot(prop, start), given_snapshot(prop, goal))
    if as_json:
        print_json(report.as_dict())
    else:
        table(
            f"{prop.name}: from {start} to {goal}, margin {exact(report.margin_mm)} mm",
            ("pair", "verdict", "at s>", "proved mm>"),
            ((" - ".join(each.pair), SAID[each.verdict], "-" if each.at_s is None else f"{each.at_s:.3f}",
              "-" if each.clear_by_mm is None else downward(each.clear_by_mm, 1))
             for each in report.verdicts),
        )  # fmt: skip
        if report.left_out:
            table("left out: not checked, or only in part", ("parts", "why"), grouped(report.left_out))
        print_findings(report.findings)
    finish(report.findings)
