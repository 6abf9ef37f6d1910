"""Figures of parts on level axes, each turned up by its own servo: pendulums, arms and beams, as text."""

from __future__ import annotations


def figure(name: str, *parts: str, servo: str = "travel = 180.0", base: str = "") -> str:
    """A prop of a base and `hinged` parts, all with the servo `s`; keys of the servo and the base as they stand."""
    return f'format = 1\nname = "{name}"\n[servos.s]\n{servo}\n[links.base]\n{base}' + "".join(parts)


def hinged(
    link: str,
    joint: str,
    address: int,
    *,
    on: str = "base",
    at: tuple[float, float, float] = (0, 0, 0),
    keys: str = "",
    more: str = "",
) -> str:
    """A part on a level axis at a place of another: at joint 0 along x, upwards as the joint grows.

    `keys` are those of the part, `more` those of the drive, which has the name of the joint.
    """
    return f"""[links.{link}]
{keys}[joints.{joint}]
type = "revolute"
parent = "{on}"
child = "{link}"
at = {list(at)}
axis = [0, -1, 0]
[drives.{joint}]
servo = "s"
joint = "{joint}"
address = {address}
{more}"""


def load(name: str, link: str, mass: float, out: float) -> str:
    """A mass [g] at a point of a part, so far out along its x [mm]."""
    return f'[loads.{name}]\nlink = "{link}"\nmass = {mass}\nat = [{out}, 0, 0]\n'
