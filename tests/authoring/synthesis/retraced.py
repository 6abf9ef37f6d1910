"""Linkages retraced from nothing but pins and rods, step by step with scipy: none of posekit's formulas is used."""

from __future__ import annotations

from collections.abc import Callable
from math import cos, radians, sin

import numpy as np
from scipy.optimize import brentq
from scipy.spatial.transform import Rotation

from posekit.authoring.synthesis import Candidate
from posekit.linkage import Hinge

STEPS = 121


def retraced(candidate: Candidate, hinge: Hinge, span: tuple[float, float]) -> tuple[np.ndarray, np.ndarray]:
    """Joint position [deg | mm] and angle between rod and what it pushes [deg] along the span; two (S,).

    The pin of the joint is moved on from where the joint stood last, until its distance from the horn's pin is the rod.
    """
    pins = {"four_bar": _four_bar, "slider_crank": _slider, "push_rod": _push_rod}[candidate.type]
    horn_pin, joint_pin, rod = pins(candidate, hinge)
    step = 1e-4
    shafts = np.linspace(*span, STEPS)
    at = candidate.reach[0] if _rises(candidate, horn_pin, joint_pin, rod, span) else candidate.reach[1]
    found, angles = [], []
    for shaft in shafts:
        pin = horn_pin(shaft)

        def short(joint: float, pin: np.ndarray = pin) -> float:
            return float(np.linalg.norm(joint_pin(joint) - pin)) - rod

        at = brentq(short, *_around(short, at), xtol=1e-12)
        along = (joint_pin(at) - pin) / np.linalg.norm(joint_pin(at) - pin)
        moved = (joint_pin(at + step) - joint_pin(at - step)) / np.linalg.norm(
            joint_pin(at + step) - joint_pin(at - step)
        )
        found.append(at)
        angles.append(np.degrees(np.arcsin(min(abs(float(along @ moved)), 1.0))))
    return np.array(found), np.array(angles)


def _around(short, at: float) -> tuple[float, float]:
    """Two joint positions about `at` between which the loop closes."""
    for half in (0.02, 0.1, 0.5, 2.0):
        if short(at - half) * short(at + half) <= 0.0:
            return at - half, at + half
    raise AssertionError(f"does not close near {at:.3f}")


def _rises(candidate, horn_pin, joint_pin, rod, span) -> bool:
    miss = [abs(np.linalg.norm(joint_pin(end) - horn_pin(span[0])) - rod) for end in candidate.reach]
    return miss[0] < miss[1]


def _turned(point: np.ndarray, at: np.ndarray, axis: np.ndarray) -> Callable[[float], np.ndarray]:
    """Where a point comes to that turns so many degrees: round a circle, of which scipy turns to 90 and 180 degrees."""
    unit = np.asarray(axis) / np.linalg.norm(axis)
    quarter, half = (at + Rotation.from_rotvec(turn * unit).apply(point - at) for turn in (np.pi / 2, np.pi))
    middle = (point + half) / 2
    ahead, aside = point - middle, quarter - middle

    def to(angle_deg: float) -> np.ndarray:
        angle = radians(angle_deg)
        return middle + cos(angle) * ahead + sin(angle) * aside

    return to


def _four_bar(candidate, hinge):
    bars, z = candidate.dimensions, np.array([0.0, 0.0, 1.0])
    pivot, ahead = np.array([bars["ground"], 0.0, 0.0]), np.array([1.0, 0.0, 0.0])
    crank = _turned(bars["crank"] * ahead, np.zeros(3), z)
    rocker = _turned(pivot + bars["rocker"] * ahead, pivot, z)
    return (
        lambda shaft: crank(bars["shaft_zero"] + shaft),
        lambda joint: rocker(bars["joint_zero"] + joint),
        bars["coupler"],
    )


def _slider(candidate, hinge):
    bars, z = candidate.dimensions, np.array([0.0, 0.0, 1.0])
    crank = _turned(bars["crank"] * np.array([1.0, 0.0, 0.0]), np.zeros(3), z)
    return (
        lambda shaft: crank(bars["shaft_zero"] + shaft),
        lambda joint: np.array([bars["joint_zero"] + joint, bars["offset"], 0.0]),
        bars["coupler"],
    )


def _push_rod(candidate, hinge):
    rod = {key: np.array(value) for key, value in candidate.dimensions.items()}
    return (
        _turned(rod["horn_ball"], rod["shaft_at"], rod["shaft_axis"]),
        _turned(rod["joint_ball"], np.array(hinge.at), np.array(hinge.axis)),
        float(rod["rod"]),
    )
