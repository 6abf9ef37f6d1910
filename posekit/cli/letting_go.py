"""The tables of `posekit power` on servos that let go and values that stop coming."""

from __future__ import annotations

from posekit.clearance.left_out import LeftOut
from posekit.cli.printing import SAID, say, table
from posekit.report.letting_go import LetGo, Lying
from posekit.report.letting_go_told import ways
from posekit.report.loss import LossReport
from posekit.text import counted

STANDS = {
    "held": "its friction holds it",
    "hangs": "nothing turns it",
    "upright": "stands in balance, falls when touched",
    "leans": "stays",
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
    "each by itself": "what goes to rest was looked at with the others standing, each fall by itself; what falls "
    "meanwhile, and what they do together, was not",
    "not looked at": "not looked at, or not all of it",
    None: "not known",
}
NO_PAIR = "no pair is judged"


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
        way = JUDGED[signal.judged] if signal.pairs or signal.judged == "nothing moves" else NO_PAIR
        _print_lying(report, signal.lies, "After values have stopped", f"{way}{struck}")
    say(_watched(report.pairs, report.left_out))
    say("")


def _row(report: LossReport, each: LetGo) -> tuple[str, ...]:
    own = each.fall
    falls = own.what == "falls"
    then = STANDS[own.what] if each.friction_nm is not None or not falls else "may fall: friction unknown"
    where = "" if own.end is None else f"{ENDS[own.end]} {own.joint or ''}".strip()
    where += ", and may go on" if own.end == "dead point" else ""
    if own.what == "leans":
        # Where a stop holds it everywhere, nothing more is known of its end.
        then, where = f"{then} {where or 'at a hard stop'}", ""
    return (each.drive, then, ways(report.prop, each.joints) if falls else "", where, _on_the_way(each))


def _on_the_way(each: LetGo) -> str:
    if each.fall.what != "falls":
        return ""
    if each.touches is None:
        return "not looked at"
    if not each.pairs:
        return NO_PAIR
    told = [
        f"{SAID[touch.verdict]} {' - '.join(touch.pair)}{' on a swing' if touch.swinging else ''}"
        f"{' from the start' if touch.at_once else ''}"
        for touch in each.touches
    ]
    return ("; ".join(told) or SAID["clear"]) + (" as far as a dead point" if each.fall.dead else "")


def _print_lying(report: LossReport, lies: Lying, title: str, way: str) -> None:
    overlap = [
        f"{SAID['strikes']} {' - '.join(pair)}{' from the start' if pair in lies.from_start else ''}"
        for pair in lies.overlap
    ]
    dead = f"; at a dead point, and may go on: {', '.join(lies.dead)}" if lies.dead else ""
    where = ways(report.prop, lies.joints) if lies.rests or lies.joints else "where it began"
    rows = [
        ("comes to rest with" if lies.rests else "still falling at", f"{where}{dead}"),
        ("overlap there", "; ".join(overlap) or ("none" if report.pairs else NO_PAIR)),
        ("the way", way),
    ]
    table(title, ("what", "found"), rows)


def _watched(pairs: int, left_out: tuple[LeftOut, ...]) -> str:
    """How many pairs of parts are watched, and how many are not: which ways were looked at, the tables tell."""
    whole = {each.pair for each in left_out if each.whole}
    partly = {each.pair for each in left_out if not each.whole} - whole
    told = f"{counted(pairs, 'pair')} {'is' if pairs == 1 else 'are'} watched"
    told += f", {len(partly)} of them in part" if partly else ""
    told += f"; {counted(len(whole), 'pair')} not" if whole else ""
    return f"{told}: `posekit move` and --json tell which, and why"
