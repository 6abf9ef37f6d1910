"""The tables of `posekit power` on servos that let go and values that stop coming."""

from __future__ import annotations

from posekit.cli.printing import say, table
from posekit.report.loss import LossReport
from posekit.report.loss_words import (
    FALL_HEADS,
    NO_ORDER,
    fall_row,
    lying_rows,
    signal_rows,
    signal_way,
    watched,
)


def print_losses(report: LossReport, begin: str) -> None:
    """Print what becomes of a pose, which a person calls `begin`."""
    table(
        f"One servo lets go, all others hold; from {begin}",
        FALL_HEADS,
        [fall_row(report.prop, each) for each in report.drives],
    )
    if any(report.worst):
        table(
            "Those that may not sleep, where they hold most, each in its own pose",
            FALL_HEADS,
            [fall_row(report.prop, each) for each in report.worst if each is not None],
        )
    lying = ("what", "found")
    table(
        f"All let go at once, as power goes; from {begin}",
        lying,
        lying_rows(report, report.all_at_once, NO_ORDER),
    )
    table("Values stop coming", ("drive", "then", "holds N·m>"), signal_rows(report))
    if report.signal.lies is not None:
        rows = lying_rows(report, report.signal.lies, signal_way(report))
        table("After values have stopped", lying, rows)
    say(f"{watched(report.pairs, report.left_out)}: `posekit move` and --json tell which, and why")
    say("")
