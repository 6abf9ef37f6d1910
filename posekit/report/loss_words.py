"""What becomes of a pose in words, row by row: the same on the command line and in the page."""

from __future__ import annotations

from posekit.clearance.left_out import LeftOut
from posekit.prop.model import Prop
from posekit.report.letting_go import LetGo, Lying
from posekit.report.letting_go_told import ways
from posekit.report.loss import LossReport
from posekit.report.verdict_words import SAID
from posekit.text import counted, upward

FALL_HEADS = ("drive", "then", "goes", "comes to rest", "on the way")
STANDS = {
    "held": "its friction holds it",
    "hangs": "nothing turns it",
    "upright": "stands in balance, falls when touched",
    "leans": "stays",
    "falls": "falls",
    "unknown": "not looked at",
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
NO_ORDER = "not looked at: in which order parts fall is not known"


def fall_row(prop: Prop, each: LetGo) -> tuple[str, ...]:
    """One servo that lets go, under `FALL_HEADS`."""
    own = each.fall
    falls = own.what == "falls"
    then = STANDS[own.what] if each.friction_nm is not None or not falls else "may fall: friction unknown"
    where = "" if own.end is None else f"{ENDS[own.end]} {own.joint or ''}".strip()
    where += ", and may go on" if own.end == "dead point" else ""
    if own.what == "leans":
        # Where a stop holds it everywhere, nothing more is known of its end.
        then, where = f"{then} {where or 'at a hard stop'}", ""
    return (each.drive, then, ways(prop, each.joints) if falls else "", where, _on_the_way(each))


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


def lying_rows(report: LossReport, lies: Lying, way: str) -> tuple[tuple[str, str], ...]:
    """How the figure can lie: what, and what was found of it; `way` is said of the way there."""
    overlap = [
        f"{SAID['strikes']} {' - '.join(pair)}{' from the start' if pair in lies.from_start else ''}"
        for pair in lies.overlap
    ]
    dead = f"; at a dead point, and may go on: {', '.join(lies.dead)}" if lies.dead else ""
    if not lies.sought:
        return (
            ("comes to rest with", "not looked for"),
            ("overlap there", "not looked for"),
            ("the way", way),
        )
    where = ways(report.prop, lies.joints)
    return (
        ("comes to rest with" if lies.rests else "still falling at", f"{where}{dead}"),
        ("overlap there", "; ".join(overlap) or ("none" if report.pairs else NO_PAIR)),
        ("the way", way),
    )


def signal_rows(report: LossReport) -> tuple[tuple[str, str, str], ...]:
    """What each drive does when values stop coming: its name, what, and what its servo then holds, N*m."""
    signal = report.signal
    held = signal.held_nm or (None,) * len(signal.does)
    return tuple(
        (each.drive, does or "unknown", "-" if nm is None else upward(abs(nm), 3))
        for each, does, nm in zip(report.drives, signal.does, held, strict=True)
    )


def signal_way(report: LossReport) -> str:
    """What is known of the way when values stop coming."""
    signal = report.signal
    struck = "".join(f"; {SAID[each.verdict]} {' - '.join(each.pair)}" for each in signal.move)
    way = JUDGED[signal.judged] if signal.pairs or signal.judged == "nothing moves" else NO_PAIR
    return f"{way}{struck}"


def watched(pairs: int, left_out: tuple[LeftOut, ...]) -> str:
    """How many pairs of parts are watched, and how many are not: which ways were looked at, the rows tell."""
    whole = {each.pair for each in left_out if each.whole}
    partly = {each.pair for each in left_out if not each.whole} - whole
    told = f"{counted(pairs, 'pair')} {'is' if pairs == 1 else 'are'} watched"
    told += f", {len(partly)} of them in part" if partly else ""
    return told + (f"; {counted(len(whole), 'pair')} not" if whole else "")
