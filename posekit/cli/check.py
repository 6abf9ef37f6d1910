"""`posekit check`: what a prop has to tell over its whole range, and at a snapshot if given."""

from __future__ import annotations

from typing import Any

import click
import numpy as np

import posekit
from posekit.clearance import Near, Solids, end_findings, near_finding, nearest, pair_rows, solids
from posekit.clearance.cover import shape_findings
from posekit.cli.files import snapshot_of
from posekit.cli.pose import as_data, clearances
from posekit.cli.printing import finish, print_findings, print_json, table
from posekit.mechanism.limits import LinkageReport, linkage_reports
from posekit.mechanism.mass import mass_findings, masses
from posekit.pipeline import in_file
from posekit.prop.reader import place_of


@click.command("check")
@click.argument("model")
@click.argument("snapshot", required=False)
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
def command(model: str, snapshot: str | None, as_json: bool) -> None:
    """Check MODEL: end points, linkages, stops, supply; with SNAPSHOT also that pose.

    SNAPSHOT is a file, the name of a look, or typed text, as for `posekit pose`.
    """
    prop = posekit.load(model)
    file = str(place_of(model))
    findings = posekit.check(prop, file)
    data: dict[str, Any] = {"prop": prop.name}
    near: list[Near] = []
    parts = solids(prop)
    if snapshot is not None:
        state = posekit.pose(prop, snapshot_of(prop, snapshot))
        near = _near(prop, parts, state)
        findings += [*state.findings, *(near_finding(n.pair, n.mm, prop.clearance.margin) for n in near)]
        data["pose"] = as_data(prop, state, clearances(prop, state))
        data["near"] = [n.as_dict() for n in near]
    own = [*mass_findings(prop), *shape_findings(prop, parts), *end_findings(prop, parts)]
    findings += in_file(prop, own, file)
    reports, weights = linkage_reports(prop), masses(prop)
    if as_json:
        data["links"] = {
            link.name: {"mass_g": weight.mass_g, "centre_mm": weight.centre_mm.tolist()}
            for link, weight in zip(prop.links, weights, strict=True)
        }
        data["linkages"] = [_as_data(report) for report in reports]
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
            (_row(report) for report in reports),
        )
        table(
            "Links, by their solid shapes",
            ("link", "mass g>", "centre of mass mm (x, y, z)>"),
            (
                (link.name, f"{weight.mass_g:.1f}", ", ".join(f"{c:.1f}" for c in weight.centre_mm))
                for link, weight in zip(prop.links, weights, strict=True)
            ),
        )
        if near:
            _print_near(prop, near)
        print_findings(findings)
    finish(findings)


def _near(prop: posekit.Prop, parts: Solids, state: posekit.Pose) -> list[Near]:
    """The pairs closer than the margin in this pose, with depth where they overlap."""
    world_from_link = np.stack([state.links[link.name] for link in prop.links])
    return nearest(parts, pair_rows(prop), world_from_link, prop.clearance.margin)


def _print_near(prop: posekit.Prop, near: list[Near]) -> None:
    rows = (
        (
            " - ".join(n.pair),
            f"{n.mm:.2f}",
            f"{n.depth_mm:.2f}" if n.mm == 0 else "",
            _point(n.point_a),
            _point(n.point_b),
        )
        for n in near
    )
    columns = ("pair", "mm>", "depth mm>", "at, on the first>", "on the second>")
    table(f"Clearance below the margin of {prop.clearance.margin:g} mm", columns, rows)


def _point(point: tuple[float, float, float]) -> str:
    return ", ".join(f"{c:.1f}" for c in point)


def _row(report: LinkageReport) -> tuple[object, ...]:
    return (
        report.drive,
        f"{report.kind}, {report.turns}" if report.turns else report.kind,
        report.joint,
        _span(report.reach, "{:.1f}"),
        _span(report.closes_deg, "{:.1f}"),
        _span(report.closes_us, "{:.0f}"),
        _span(report.advantage, "{:.2f}"),
        "-" if np.isnan(report.transmission_deg) else f"{report.transmission_deg:.1f}",
    )


def _span(ends: tuple[float, float], form: str) -> str:
    shown = ["-" if np.isinf(end) else form.format(end) for end in ends]
    return "none" if shown == ["-", "-"] else " .. ".join(shown)


def _as_data(report: LinkageReport) -> dict[str, Any]:
    return {
        "drive": report.drive,
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
