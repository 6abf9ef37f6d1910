"""What the file alone tells of its supplies: voltages that servos do not take, currents that all of them may draw."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from posekit.errors import Finding, error, note, warning
from posekit.prop.feeds import DEFAULT, Feed, feeds
from posekit.prop.model import Prop, Servo, Supply
from posekit.text import downward, exact, listed, upward
from posekit.toml.places import dotted


def voltage_findings(prop: Prop, left: Mapping[str, float] | None = None) -> list[Finding]:
    """Supplies that a servo on them does not survive, told first and loudest; then those too weak for a servo's range.

    Too much counts by the supply's own voltage, which a servo gets that draws nothing; too little by what its wires
    leave of it, `left` [V] by the name of the supply as of `feeds`, where that is known.
    """
    high: list[Finding] = []
    low: list[Finding] = []
    for feed in feeds(prop):
        if feed.supply is None:
            continue
        volts = feed.supply.voltage
        at_servos = volts if left is None else left.get(feed.name, volts)
        for servo in _servos(prop, feed):
            high += _too_much(servo, volts, dotted((*feed.path, "voltage")))
            low += _too_little(servo, volts, at_servos, dotted((*feed.path, "voltage")))
    return [*high, *low]


def most_volts(servo: Servo) -> float | None:
    """The voltage above which a servo is destroyed [V], as far as the file tells."""
    if servo.voltage is not None:
        return servo.voltage[1]
    return servo.rated[-1][0] if servo.rated else None


def current_findings(prop: Prop, stall_a: Sequence[float | None]) -> Iterator[Finding]:
    """Supplies that give less than all servos on them draw when they are stalled; drives that nothing feeds.

    `stall_a` (D,) [A] is what the servo of each drive draws stalled at the voltage that it gets; None: not known.
    """
    for feed in feeds(prop):
        known = [current for d in feed.drives if (current := stall_a[d]) is not None]
        if feed.supply is None:
            yield from _unfed(prop, feed)
        elif feed.name != DEFAULT and not feed.drives:
            sentence = f'feeds no drive; write supply = "{feed.name}" at those that it is to feed'
            yield note("idle-supply", dotted(feed.path), sentence)
        elif sum(known) > feed.supply.current:
            yield _brown_out(feed, feed.supply, known)


def _servos(prop: Prop, feed: Feed) -> list[Servo]:
    """The types of servo that a supply feeds, in the order of the file."""
    used = {prop.drives[d].servo for d in feed.drives}
    return [servo for servo in prop.servos if servo.name in used]


def _too_much(servo: Servo, volts: float, subject: str) -> Iterator[Finding]:
    most = most_volts(servo)
    if most is None or volts <= most:
        return
    if servo.voltage is None:
        sentence = (
            f"= {exact(volts)}: may destroy servo '{servo.name}' at once, whose figures end at "
            f"{exact(most)} V. Connect nothing: "
            f"use a supply of {exact(most)} V or less, or write the servo's voltage = [least, most] from its data sheet"
        )
    else:
        sentence = (
            f"= {exact(volts)}: destroys servo '{servo.name}' at once, which takes "
            f"{exact(servo.voltage[0])} to {exact(most)} V. "
            f"Connect nothing: use a supply of {exact(most)} V or less, or another servo"
        )
    yield error("supply-voltage", subject, sentence)


def _too_little(servo: Servo, volts: float, at_servos: float, subject: str) -> Iterator[Finding]:
    if servo.voltage is None or volts > servo.voltage[1] or at_servos >= servo.voltage[0]:
        return
    least, most = servo.voltage
    gets = f", of which its wires leave {downward(at_servos)} V" if at_servos < volts else ""
    higher = (
        "thicker or shorter wire, or a higher voltage"
        if volts >= least
        else f"a supply of {exact(least)} V or more"
    )
    sentence = (
        f"= {exact(volts)}{gets}: servo '{servo.name}' takes {exact(least)} to {exact(most)} V, so "
        "it is weak or does not "
        f"start; use {higher}, or another servo"
    )
    yield warning("supply-voltage", subject, sentence)


def _unfed(prop: Prop, feed: Feed) -> Iterator[Finding]:
    """Drives that name no supply, where there are others and none for the rest."""
    if prop.supplies and feed.drives:
        sentence = (
            f"names no supply, and there is no [supply] for it: write supply = one of "
            f"{listed(supply.name for supply in prop.supplies)}, or a [supply]"
        )
        for d in feed.drives:
            yield warning("no-supply", dotted(("drives", prop.drives[d].name)), sentence)


def _brown_out(feed: Feed, supply: Supply, known: list[float]) -> Finding:
    servos = "one servo stalled draws" if len(known) == 1 else f"{len(known)} servos stalled together draw"
    sentence = (
        f"= {exact(supply.current)}: {servos} {upward(sum(known), 1)} A; a supply below that can brown out "
        "when servos jam, so use a larger one, with a fuse for each group"
    )
    return warning("supply-current", dotted((*feed.path, "current")), sentence)
