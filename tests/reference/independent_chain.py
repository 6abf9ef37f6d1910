"""From values to joint positions without posekit: by the text of the prop file, textbook loops and their plain roots.

Calibration is common practice. Of a loop both roots are taken at each half degree of the shaft, and the joint goes
from each to the nearest of the next, beginning with the root that the file means at shaft 0: a way quite unlike the
closed forms with fixed sides of posekit. Loops: Freudenstein's equation for the four-bar and the slider-crank (Norton,
Design of Machinery, ch. 4); for the push-rod the distance of the two balls, turned about their axes by scipy.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.spatial.transform import Rotation

import posekit

Numbers = NDArray[np.float64]
Roots = Callable[
    [Numbers], Numbers
]  # shaft angles (N,) [deg] to both joint positions (2, N), nan if it does not close

STEP_DEG = 0.5
FARTHEST_DEG = 300.0


class IndependentPositions:
    """Joint positions (P, J) [deg | mm] of a prop at values (P, D)."""

    def __init__(self, prop: posekit.Prop) -> None:
        self.file: dict[str, Any] = tomllib.loads(prop.text)
        self.joints = [joint.name for joint in prop.joints]
        self.drives: dict[str, dict[str, Any]] = self.file.get("drives", {})
        self.partners = {drive["linkage"]["partner"] for drive in self.drives.values() if partnered(drive)}
        self.rods = {
            name: self._rod(drive)
            for name, drive in self.drives.items()
            if name not in self.partners and not partnered(drive)
        }

    def __call__(self, values: ArrayLike) -> Numbers:
        shaft = {
            name: self._shaft(drive, np.asarray(values, float)[:, d])
            for d, (name, drive) in enumerate(self.drives.items())
        }
        at = dict.fromkeys(self.joints, np.zeros(len(np.asarray(values))))
        for name, drive in self.drives.items():
            if name in self.rods:
                at[drive["joint"]] = self.rods[name](shaft[name])
            elif name not in self.partners:
                linkage = drive["linkage"]
                a, b = shaft[name], shaft[linkage["partner"]]
                at[linkage["sum"]], at[linkage["difference"]] = (a + b) / 2, (a - b) / 2
        held = {name: self._held(name, at[name]) for name in self.joints if not self._follow(name)}
        waiting = [name for name in self.joints if self._follow(name)]
        for _ in range(len(waiting)):
            for name in waiting:
                follow = self._follow(name)
                if follow["joint"] in held:
                    leader = held[follow["joint"]]
                    there = follow.get("ratio", 1.0) * leader + follow.get("offset", 0.0)
                    held[name] = self._held(name, there)
        return np.stack([held[name] for name in self.joints], axis=1)

    def _follow(self, joint: str) -> dict[str, Any]:
        found: dict[str, Any] = self.file["joints"][joint].get("follow", {})
        return found

    def _held(self, joint: str, position: Numbers) -> Numbers:
        low, high = self.file["joints"][joint].get("stops", (-np.inf, np.inf))
        return np.clip(position, low, high)

    def _shaft(self, drive: dict[str, Any], value: Numbers) -> Numbers:
        servo, pulse = self.file["servos"][drive["servo"]], drive.get("pulse", {})
        full = 65535.0 if drive.get("bits", 8) == 16 else 255.0
        low, high = pulse.get("low", 1000.0), pulse.get("high", 2000.0)
        middle = (low + high) / 2 + pulse.get("trim", 0.0)
        half = (full + 1) / 2
        below, above = value / half, (value - half) / (full - half)
        asked = np.where(value < half, low + (middle - low) * below, middle + (high - middle) * above)
        least, most = servo.get("pulse_range", (500.0, 2500.0))
        us = np.clip(asked, least, most)
        if "points" in servo:
            return np.interp(us, *np.transpose(servo["points"]))
        turned = (us - 1500.0) * servo.get("travel", 180.0) / (most - least)
        return -turned if servo.get("reverse") else turned

    def _rod(self, drive: dict[str, Any]) -> Callable[[Numbers], Numbers]:
        linkage = drive.get("linkage", {"type": "direct"})
        joint = self.file["joints"][drive["joint"]]
        match linkage["type"]:
            case "direct":
                return lambda shaft: shaft + linkage.get("offset", 0.0)
            case "gear":
                return lambda shaft: shaft / linkage["ratio"] + linkage.get("offset", 0.0)
            case "four_bar":
                return tracked(four_bar(linkage), np.nan, linkage.get("joint_zero"), 360.0)
            case "slider_crank":
                return tracked(slider_crank(linkage), np.nan, linkage.get("joint_zero"), np.inf)
            case "push_rod":
                return tracked(push_rod(linkage, joint), 0.0, 0.0, 360.0)
        raise AssertionError(f"this chain knows no {linkage['type']}")


def partnered(drive: dict[str, Any]) -> bool:
    return "partner" in drive.get("linkage", {})


def tracked(roots: Roots, near: float, zero: float | None, period: float) -> Callable[[Numbers], Numbers]:
    """The joint at each shaft angle, followed from shaft 0 in small steps; held where the loop opens.

    It begins with the first root, or with the one nearest to `near`. `zero` is what the position is counted from; where
    it is left out, from where it begins. A position comes back after a `period`.
    """
    first, second = roots(np.zeros(1))[:, 0]
    begin = first
    if not np.isnan(near):
        begin = min((first, second), key=lambda root: abs(root - near - around(root - near, period)))
    begin -= around(begin - (begin if zero is None else zero), period)
    count = int(FARTHEST_DEG / STEP_DEG)
    sides = []
    for way in (1.0, -1.0):
        angles, joint = [0.0], [begin]
        ahead = way * STEP_DEG * np.arange(1, count + 1)
        for angle, pair in zip(ahead, roots(ahead).T, strict=True):
            if np.isnan(pair).any():
                closes, opens = angles[-1], angle
                for _ in range(60):
                    middle = (closes + opens) / 2
                    closes, opens = (
                        (closes, middle) if np.isnan(roots(np.array([middle]))).any() else (middle, opens)
                    )
                angles.append(closes)
                joint.append(nearest(roots(np.array([closes])), np.array(joint[-1:]), period)[0])
                break
            angles.append(angle)
            joint.append(nearest(pair[:, None], np.array(joint[-1:]), period)[0])
        sides.append((angles[:: int(way)], joint[:: int(way)]))
    angles = [*sides[1][0], *sides[0][0][1:]]
    joint = [*sides[1][1], *sides[0][1][1:]]
    counted = begin if zero is None else zero

    def position(shaft: Numbers) -> Numbers:
        at = np.clip(shaft, angles[0], angles[-1])
        about = np.interp(at, angles, joint)
        found = nearest(roots(at), about, period)
        return np.where(np.isnan(found), about, found) - counted  # at a dead point rounding may open the loop

    return position


def around(angle: float, period: float) -> float:
    return 0.0 if np.isinf(period) else period * round(angle / period)


def nearest(pairs: Numbers, to: Numbers, period: float) -> Numbers:
    """Of two roots (2, N), give or take whole periods, the one nearest to each `to` (N,)."""
    if np.isfinite(period):
        pairs = pairs - period * np.round((pairs - to) / period)
    found: Numbers = np.where(np.abs(pairs[0] - to) <= np.abs(pairs[1] - to), pairs[0], pairs[1])
    return found


def four_bar(linkage: dict[str, Any]) -> Roots:
    """Rocker angles [deg] by Freudenstein's equation, the root of the branch first."""
    a, b, c, d = (linkage[bar] for bar in ("crank", "coupler", "rocker", "ground"))

    def roots(shaft: Numbers) -> Numbers:
        crank = np.radians(shaft + linkage.get("shaft_zero", 0.0))
        pin = np.stack([a * np.cos(crank), a * np.sin(crank)])
        # |ground + rocker - pin|^2 = coupler^2 is P cos + Q sin = S for the rocker angle.
        p, q = 2 * c * (d - pin[0]), -2 * c * pin[1]
        s = b * b - c * c - (d - pin[0]) ** 2 - pin[1] ** 2
        both = cosine_roots(p, q, s)
        end = np.array([d, 0.0])[:, None, None] + c * np.stack([np.cos(both), np.sin(both)])
        diagonal = pin - np.array([[d], [0.0]])
        # Open: seen from the rocker pivot to the crank pin, the rocker's end lies to the right.
        out = end - np.array([d, 0.0])[:, None, None]
        left = diagonal[0] * out[1] - diagonal[1] * out[0] > 0
        wanted = left if linkage.get("branch", "open") == "crossed" else ~left
        return np.degrees(np.where(wanted[0], both, both[::-1]))

    return roots


def slider_crank(linkage: dict[str, Any]) -> Roots:
    """Slide positions [mm], the root of the branch first."""

    def roots(shaft: Numbers) -> Numbers:
        crank = np.radians(shaft + linkage.get("shaft_zero", 0.0))
        height = linkage.get("offset", 0.0) - linkage["crank"] * np.sin(crank)
        with np.errstate(invalid="ignore"):
            ahead = np.sqrt(linkage["coupler"] ** 2 - height**2)
        sign = -1.0 if linkage.get("branch", "open") == "crossed" else 1.0
        return linkage["crank"] * np.cos(crank) + np.stack([sign * ahead, -sign * ahead])

    return roots


def push_rod(linkage: dict[str, Any], joint: dict[str, Any]) -> Roots:
    """Joint angles [deg] at which the balls stand as far apart as the rod is long."""
    turn = Rotation.from_euler("xyz", joint.get("turn", (0, 0, 0)), degrees=True)
    hinge, axis = np.array(joint.get("at", (0, 0, 0)), float), turn.apply(joint.get("axis", (0, 0, 1)))
    axis /= np.linalg.norm(axis)
    shaft_at, shaft_axis = np.array(linkage["shaft_at"], float), np.array(linkage["shaft_axis"], float)
    shaft_axis /= np.linalg.norm(shaft_axis)
    horn, arm = np.array(linkage["horn_ball"], float), np.array(linkage["joint_ball"], float)
    rod = linkage.get("rod", np.linalg.norm(horn - arm))

    def roots(shaft: Numbers) -> Numbers:
        ball = shaft_at + Rotation.from_rotvec(np.radians(shaft)[:, None] * shaft_axis).apply(horn - shaft_at)
        # The square of the distance is a constant, a cosine and a sine of the joint angle: three angles tell them.
        away = [
            ((ball - hinge - Rotation.from_rotvec(phi * axis).apply(arm - hinge)) ** 2).sum(axis=1)
            for phi in (0.0, np.pi / 2, np.pi)
        ]
        constant, p = (away[0] + away[2]) / 2, (away[0] - away[2]) / 2
        return np.degrees(cosine_roots(p, away[1] - constant, rod**2 - constant))

    return roots


def cosine_roots(p: Numbers, q: Numbers, s: Numbers) -> Numbers:
    """Both angles (2, N) with P cos + Q sin = S, by the half-angle's tangent; nan where there is none."""
    with np.errstate(invalid="ignore", divide="ignore"):
        root = np.sqrt(p * p + q * q - s * s)
        return np.stack([2 * np.arctan2(q + root, p + s), 2 * np.arctan2(q - root, p + s)])
