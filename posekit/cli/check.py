"""`posekit check`: what a prop has to tell over its whole range, and at a snapshot if given."""

from __future__ import annotations

from typing import Any

import click
import numpy as np

import posekit
from posekit.cli.files import given_snapshot
from posekit.cli.options import json_option, model_argument
from posekit.cli.pose import as_data, print_near
from posekit.cli.printing import finish, print_findings, print_json, print_left_out, table
from posekit.errors import bounded
from posekit.mechanism.range_check import LinkageReport
from posekit.prop.reader import prop_path
from posekit.report.check import check_report
from posekit.report.pose import pose_report
from posekit.text import downward


@click.command("check")
@model_argument
@click.argument("snapshot", required=False)
@json_option
def command(model: str, snapshot: str | None, as_json: bool) -> None:
    """Check MODEL: end points, linkages, stops, supply; with SNAPSHOT also that pose.

    SNAPSHOT is a file, the name of a look, typed text or a pose for the bench, as for `posekit pose`.
    """
    prop = posekit.load(model)
    # Read before anything is looked at: a name that is none is told at once.
    asked = None if snapshot is None else given_snapshot(prop, snapshot)
    report = check_report(prop, str(prop_path(model)))
    findings = list(report.findings)
    data: dict[str, Any] = {"prop": prop.name}
    posed = None if asked is None else pose_report(prop, asked)
    if posed is not None:
        findings = list(bounded([*findings, *posed.findings]))
        data["pose"] = as_data(prop, posed)
        data["near"] = [near.as_dict() for near in posed.near]
    if as_json:
        data["links"] = {
            name: {"mass_g": weight.mass_g, "centre_mm": weight.centre_mm.tolist()}
            for name, weight in report.masses.items()
        }
        data["linkages"] = [_as_data(linkage) for linkage in report.linkages]
        data["left_out"] = [each.as_dict() for each in report.left_out]
        data["findings"] = [finding.as_dict() for finding in findings]
        print_json(data)
    else:
        table(
            f"{prop.name}: linkages over their end points",
            (
                "drive",
                "linkage",
                "joint",
                "reach>",
                "dead points deg>",
                "µs>",
                "advantage>",
                "transmission deg>",
            ),
            (_row(linkage) for linkage in report.linkages),
        )
        table(
            "Parts, by their solid shapes, each in its own axes, which lie at its joint",
            ("part", "mass g>", "centre of mass mm (x, y, z)>"),
            (
                (name, f"{weight.mass_g:.1f}", ", ".join(f"{c:z.1f}" for c in weight.centre_mm))
                for name, weight in report.masses.items()
            ),
        )
        if posed is not None and posed.near:
            print_near(prop, posed.near)
        print_left_out(len(report.pairs), report.left_out)
        print_findings(findings)
    finish(findings)


def _row(report: LinkageReport) -> tuple[object, ...]:
    return (
        " + ".join(report.drives),
        f"{report.kind}, {report.turns}" if report.turns else report.kind,
        report.joint,
        _span(report.reach, "{:z.1f}"),
        _span(report.closes_deg, "{:z.1f}"),
        _span(report.closes_us, "{:.0f}"),
        "-" if np.isnan(report.advantage).any() else _span(report.advantage, "{:.2f}"),
        "-" if np.isnan(report.transmission_deg) else downward(report.transmission_deg, 1),
    )


def _span(ends: tuple[float, float], form: str) -> str:
    shown = ["-" if np.isinf(end) else form.format(end) for end in ends]
    return "none" if shown == ["-", "-"] else " .. ".join(shown)


def _as_data(report: LinkageReport) -> dict[str, Any]:
    return {
        "drive": report.drives[0],
        "drives": list(report.drives),
        "linkage": report.kind,
        "turns": report.turns,
        "joint": report.joint,
        "reach": [_finite(end) for end in report.reach],
        "dead_points_deg": [_finite(end) for end in report.closes_deg],
        "dead_points_us": [_finite(end) for end in report.closes_us],
        "mechanical_advantage": [_finite(end) for end in report.advantage],
        "least_transmission_deg": _finite(report.transmission_deg),
    }


def _finite(number: float) -> float | None:
    return float(number) if np.isfinite(number) else None
