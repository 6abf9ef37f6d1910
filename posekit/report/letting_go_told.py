"""What there is to tell of servos that let go, as findings and as words."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from posekit.errors import Finding, note, warning
from posekit.mechanism.joints import unit_of
from posekit.mechanism.tree import way_to_root
from posekit.prop.model import Prop
from posekit.report.letting_go import LetGo, Lying, Touch

BRANCHES = "from there either branch may follow; beyond it nothing was looked at"


def falling_findings(prop: Prop, each: LetGo, where: str = "") -> Iterator[Finding]:
    """What there is to tell of one servo that lets go; `where` is said of the pose, with a space at its end."""
    own = each.fall
    if own.what == "upright":
        sentence = (
            "stands in balance; touched without power, it falls. Which way is not known, and is not looked at"
        )
        yield note("stands-upright", each.drive, sentence)
    if own.what == "leans" and own.dead:
        sentence = f"{where}stands at a dead point of its linkage when its servo lets go: {BRANCHES}"
        yield note("fall-past-dead-point", each.drive, sentence)
    if own.what == "unknown":
        sentence = f"{where}was not looked at before time ran out: whether it falls when its servo lets go is not known"
        yield note("fall-not-judged", each.drive, sentence)
    if own.what != "falls":
        return
    falls = "falls" if each.friction_nm is not None else "may fall (its servo's friction is not known)"
    way = f"{where}{falls} when its servo lets go: {ways(prop, each.joints)}"
    if each.touches is None:
        yield note("fall-not-judged", each.drive, f"{way}; what it strikes on the way was not looked at")
        return
    if own.dead:
        to = "to" if own.end == "dead point" else "and on a swing to"
        sentence = f"{way}, {to} a dead point of its linkage: {BRANCHES}"
        yield note("fall-past-dead-point", each.drive, sentence)
    if grave := grave_touches(each):
        struck = "; ".join(_said(prop, touch) for touch in grave)
        sentence = (
            f"{way}. On the way {struck}. Keep its power on while anything is below, or hold the part by a spring, a "
            "counterweight or a stop"
        )
        yield warning("falls-on", each.drive, sentence)


def grave_touches(each: LetGo) -> list[Touch]:
    """What a fall strikes on its way, or may, in the order of the way."""
    return [
        touch for touch in each.touches or () if touch.verdict in ("strikes", "open") and not touch.at_once
    ]


def ways(prop: Prop, joints: dict[str, tuple[float, float]]) -> str:
    """How joints go, as words; followers aside, which are told by their leaders."""
    own = [joint for joint in prop.joints if joint.name in joints and joint.follow is None]
    told = (
        f"{joint.name} from {joints[joint.name][0]:.1f} to {joints[joint.name][1]:.1f} {unit_of(joint)}"
        for joint in own
    )
    return ", ".join(told) or "nothing moves"


def _said(prop: Prop, touch: Touch) -> str:
    unit = {joint.name: unit_of(joint) for joint in prop.joints}
    falls, lies = sorted(touch.pair, key=lambda link: -_carried(prop, link, touch.joints))
    where = ", ".join(f"{name} {at:.1f} {unit[name]}" for name, at in touch.joints.items())
    swing = ", should it swing past its rest" if touch.swinging else ""
    does = "strikes" if touch.verdict == "strikes" else "may strike"
    return f"{falls} {does} {lies} at {where}{swing}"


def _carried(prop: Prop, link: str, joints: Collection[str]) -> int:
    """How many of these joints carry a part."""
    return sum(joint.name in joints for joint in way_to_root(prop, link))


def lying_findings(lies: Lying, when: str) -> Iterator[Finding]:
    """What there is to tell of servos that let go together."""
    if not lies.sought:
        sentence = f"when {when}, how all comes to rest was not looked for: time ran out before; allow more"
        yield note("rest-not-looked-for", "", sentence)
    elif not lies.rests:
        sentence = f"when {when}, no pose in which all of it rests was found before time or steps ran out"
        yield note("still-falling", "", sentence)
    for drive in lies.dead:
        sentence = f"when {when}, lies at a dead point of its linkage: {BRANCHES}"
        yield note("fall-past-dead-point", drive, sentence)
    if lies.fallen:
        pairs = ", ".join(" - ".join(pair) for pair in lies.fallen)
        sentence = (
            f"when {when}, parts fall onto each other, before they come to where nothing turns them: {pairs}"
        )
        yield warning("falls-together", "", sentence)
