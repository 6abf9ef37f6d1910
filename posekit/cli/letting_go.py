"""The tables of `posekit power` on servos that let go and values that stop coming."""

from __future__ import annotations

from posekit.clearance.left_out import summary
from posekit.cli.printing import SAID, say, table
from posekit.report.letting_go import LetGo, Lying, ways
from posekit.report.loss import LossReport

STANDS = {
    "held": "its friction holds it",
    "hangs": "nothing turns it",
    "upright": "stands in balance, falls when touched",
    "leans": "leans on a stop",
    "falls": "falls",
}
ENDS = {
    "balance": "where little or nothing turns it",
    "dead point": "at a dead point of its linkage",
    "travel": "at the end of its servo's travel",
    "stop": "at the hard stop of",
}
JUDGED = {
    "nothing moves": "there is none",
    "move": "looked at, with nothing missed",
    "fall": "looked at: it is the fall of one servo, above",
    "each by itself": "of each by itself looked at; not of what they do together",
    "not looked at": "not looked at",
    None: "not known",
}


def print_losses(report: LossReport, begin: str) -> None:
    """Print what becomes of a pose, which a person calls `begin`."""
    table(
        f"One servo lets go, all others hold; from {begin}",
        ("drive", "then", "goes", "comes to rest", "on the way"),
        [_row(report, each) for each in report.drives],
    )
    if any(report.worst):
        table(
            "Those that may not sleep, where they hold most, each in its own pose",
            ("drive", "then", "goes", "comes to rest", "on the way"),
            [_row(report, each) for each in report.worst if each is not None],
        )
    title = f"All let go at once, as power goes; from {begin}"
    _print_lying(report, report.all_at_once, title, "not looked at: in which order parts fall is not known")
    signal, moved = report.signal, report.signal.move
    held = signal.held_nm or (None,) * len(signal.does)
    table(
        "Values stop coming",
        ("drive", "then", "holds N·m>"),
        [
            (each.drive, does or "unknown", "-" if nm is None else f"{abs(nm):.3f}")
            for each, does, nm in zip(report.drives, signal.does, held, strict=True)
        ],
    )
    struck = "".join(f"; {SAID[each.verdict]} {' - '.join(each.pair)}" for each in moved)
    if signal.lies is not None:
        _print_lying(report, signal.lies, "After values have stopped", f"{JUDGED[signal.judged]}{struck}")
    say(f"{summary(report.pairs, report.left_out)}: `posekit move` and --json tell which, and why")
    say("")


def _row(report: LossReport, each: LetGo) -> tuple[str, ...]:
    own = each.fall
    falls = own.what == "falls"
    then = STANDS[own.what] if each.friction_nm is not None or not falls else "may fall: friction unknown"
    where = "" if own.end is None or not falls else f"{ENDS[own.end]} {own.joint or ''}".strip()
    return (each.drive, then, ways(report.prop, each.joints) if falls else "", where, _on_the_way(each))


def _on_the_way(each: LetGo) -> str:
    if each.fall.what != "falls":
        return ""
    if each.touches is None:
        return "not looked at"
    told = [
        f"{SAID[touch.verdict]} {' - '.join(touch.pair)}{' on a swing' if touch.swinging else ''}"
        f"{' from the start' if touch.at_once else ''}"
        for touch in each.touches
    ]
    return "; ".join(told) or SAID["clear"]


def _print_lying(report: LossReport, lies: Lying, title: str, way: str) -> None:
    overlap = [f"{SAID['strikes']} {' - '.join(pair)}" for pair in lies.overlap]
    rows = [
        ("comes to rest with", ways(report.prop, lies.joints)),
        ("overlap there", "; ".join(overlap) or "none"),
        ("the way", way),
    ]
    table(title, ("what", "found"), rows)
