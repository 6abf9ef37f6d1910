"""`posekit power`: whether the servos are strong enough, and what the supply has to give."""

from __future__ import annotations

import time
from collections.abc import Callable
from math import inf, isfinite
from typing import Any

import click

import posekit
from posekit.clearance.watch import watch
from posekit.cli.files import given_snapshot
from posekit.cli.letting_go import print_losses
from posekit.cli.motion import show_of
from posekit.cli.options import Number, json_option, model_argument
from posekit.cli.printing import bars, finding_marks, finish, print_findings, print_json, table
from posekit.errors import Finding
from posekit.report.loss import LossReport, loss_report, values_during
from posekit.report.power import PowerReport, PowerState, power_steps
from posekit.report.strength import DrivePower
from posekit.report.supply_words import supply_figures
from posekit.statics.burden import Burden, burden_of
from posekit.stepwise import finished
from posekit.stream.show import Show
from posekit.text import downward, upward

SLEEP = {True: "yes", False: "no", None: "unknown"}


@click.command("power")
@model_argument
@click.argument("show", required=False)
@click.option("--budget", type=Number(min=0), help="Stop after this many seconds and print what is proved.")
@click.option(
    "--from",
    "begin",
    metavar="SNAPSHOT",
    help="The pose in which servos let go and values stop coming; default: all at rest, with SHOW where it asks most.",
)
@json_option
def command(model: str, show: str | None, budget: float | None, begin: str | None, as_json: bool) -> None:
    """Tell what the servos of MODEL hold at most, over everything the end points allow, and what its supply needs.

    With SHOW (a file, or the name of a show of the prop, as for `posekit motion`) also what they give while it runs.
    The largest holding torque is proved: no pose asks for more. With --budget it is so, too, but may be further above
    what a pose was found to ask for, which is said; SHOW is looked at whole all the same. Told is, too, where each part
    falls to whose servo lets go in one pose, and what it strikes on the way; how the figure can lie when power goes;
    and what becomes of it when values stop coming (on_loss in the prop file). These are figures for a person who
    decides: local codes and a licensed practitioner come first.
    """
    prop = posekit.load(model)
    given = None if begin is None else given_snapshot(prop, begin)
    until = inf if budget is None else time.monotonic() + budget

    def stop() -> bool:
        return time.monotonic() >= until

    # Within the budget, too: after it little is left to do.
    with bars() as tell:
        tell("getting the parts ready", 0, 1)
        burden, watched = burden_of(prop), watch(prop)
    report = _report(prop, None if show is None else show_of(prop, show), stop, burden)
    values, called = _begins(report, given, begin)
    with bars() as tell:
        tell("looking at what falls", 0, 1)
        worst = [each.holding.values if each.may_sleep is False else None for each in report.drives]
        lost = loss_report(prop, values, stop, worst, watched, burden)
    findings = tuple(dict.fromkeys([*lost.findings, *report.findings]))
    if as_json:
        print_json(_as_dict(report, lost, findings))
    else:
        # What destroys servos stands before everything else.
        first = [each for each in findings if each.code == "supply-voltage" and each.level == "error"]
        if first:
            print_findings(first)
        _print(report)
        print_losses(lost, called)
        print_findings(each for each in findings if each not in first)
    finish(findings)


def _begins(report: PowerReport, given: posekit.Snapshot | None, called: str | None) -> tuple[list[int], str]:
    """The values (D,) from which servos let go, and what a person calls that pose."""
    prop = report.prop
    if given is not None and called is not None:
        state = posekit.pose(prop, given)
        return [state.values[drive.name] for drive in prop.drives], called
    peaks = [
        (each.peak_nm / (each.rating.stall_nm or 1.0), each.peak_at_s)
        for each in report.drives
        if each.peak_nm
    ]
    if report.show is None or not peaks:
        return [drive.rest_value for drive in prop.drives], "rest"
    at_s = max(peaks)[1] or 0.0
    return values_during(prop, report.show, at_s), f"{report.show.name} at {at_s:.2f} s"


def _as_dict(report: PowerReport, lost: LossReport, findings: tuple[Finding, ...]) -> dict[str, Any]:
    """Both reports as one."""
    data = {**report.as_dict(), **lost.as_dict()}
    for d, drive in enumerate(report.prop.drives):
        data["drives"][drive.name] |= lost.of_drive(d)
    # What there is to tell stands last.
    data["findings"] = [finding.as_dict() for finding in findings]
    return {**{key: each for key, each in data.items() if key != "findings"}, "findings": data["findings"]}


def _report(prop: posekit.Prop, show: Show | None, stop: Callable[[], bool], burden: Burden) -> PowerReport:
    """The report, with a bar while it is made."""
    with bars() as tell:

        def told(state: PowerState) -> None:
            if state.to_help:
                tell("looking for what helps", state.helped, state.to_help)
            elif len(state.holding) < len(prop.drives):
                tell("proving what servos hold", len(state.holding), len(prop.drives))
            else:
                tell("following the show", round(100 * state.moved), 100)

        return finished(power_steps(prop, show, stop=stop, burden=burden), told)


def _print(report: PowerReport) -> None:
    columns = ["drive", "holds at most N·m>", "found>", "others at rest>", "stall>", "share>", "may sleep"]
    columns += ["peak N·m>", "at s>", "rms N·m>"] if report.show else []
    columns += ["finding"]
    rows = [(*_row(each, over=report.show is not None), finding_marks(
        finding for finding in report.findings if finding.subject == each.holding.drive
    )) for each in report.drives]  # fmt: skip
    over = f", and over {report.show.name}" if report.show else ""
    table(f"{report.prop.name}: torque at the servos, over all end points{over}", columns, rows)
    names = [drive.name for drive in report.prop.drives]
    worst = max(report.drives, key=lambda each: each.share or 0.0, default=None)
    if worst is not None and worst.share:
        pose = ", ".join(f"{name} {value}" for name, value in zip(names, worst.holding.values, strict=True))
        table(
            "Where the servo with the largest share holds most",
            ("drive", "values"),
            [(worst.holding.drive, pose)],
        )
    names_of = [f"{name}>" for name in report.supplies] if len(report.supplies) > 1 else ["figure>"]
    table("Supplies" if len(report.supplies) > 1 else "Supply", ("what", *names_of), _supply_rows(report))


def _row(each: DrivePower, *, over: bool) -> tuple[str, ...]:
    holding = each.holding
    row = (
        holding.drive,
        _bound(holding.most_nm),
        _number(abs(holding.found_nm)),
        _number(holding.alone_nm),
        "-" if each.rating.stall_nm is None else downward(each.rating.stall_nm, 3),
        "-" if each.share is None or not isfinite(each.share) else f"{upward(100 * each.share, 0)}%",
        SLEEP[each.may_sleep],
    )
    return (*row, _bound(each.peak_nm), _number(each.peak_at_s, 2), _number(each.rms_nm)) if over else row


def _supply_rows(report: PowerReport) -> list[tuple[str, ...]]:
    """A row a figure, a column a supply; what is known of none is left out."""
    columns = [supply_figures(supply) for supply in report.supplies.values()]
    rows = [("drives", *(f"{len(supply.drives)}" for supply in report.supplies.values()))]
    for what in columns[0] if columns else ():
        cells = tuple(column[what] for column in columns)
        if any(cells):
            rows.append((what, *(cell or "-" for cell in cells)))
    return rows if len(columns) > 1 else rows[1:]


def _bound(torque_nm: float | None) -> str:
    """What a servo has to give: never less than it is."""
    return "-" if torque_nm is None or not isfinite(torque_nm) else upward(torque_nm, 3)


def _number(number: float | None, digits: int = 3) -> str:
    return "-" if number is None or not isfinite(number) else f"{number:.{digits}f}"
