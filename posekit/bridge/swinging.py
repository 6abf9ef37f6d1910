"""Poses for the bench and one drive that swings: each public method of `Swinging` is one request of the page."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import numpy as np

from posekit.arrays import Array
from posekit.authoring.reset_drive import reset_drive
from posekit.bridge import picture, rehearsal
from posekit.bridge.bench_views import SwingView
from posekit.bridge.overtaking import newest_wins
from posekit.bridge.show_views import FramesView
from posekit.bridge.sliders import limit_sliders
from posekit.bridge.view_of_prop import finding_views, named
from posekit.bridge.view_of_show import limit_views
from posekit.bridge.views import PropView, SnapshotView, Values
from posekit.bridge.workbench import Workbench, row
from posekit.errors import Finding, PosekitError, error
from posekit.mechanism.bench import bench_snapshot, bench_values
from posekit.motion import Limits, limits_of, targets
from posekit.motion.follow import servo_speeds
from posekit.motion.swing import Swing
from posekit.pipeline import pose_at
from posekit.report.drive import column_of


class Swinging:
    """A drive of the prop on a workbench that swings between its end points, all others held."""

    def __init__(self, workbench: Workbench) -> None:
        self._workbench = workbench
        self._swing: tuple[int, Array, Swing] | None = (
            None  # column, shafts (D,) of all, the swing of the one
        )

    def bench_pose(self, pose: Literal["middle", "neutral", "low", "high", "rest"]) -> SnapshotView:
        """The values of all drives in a pose for the bench, and what of it cannot be had."""
        prop = self._workbench.prop
        findings = bench_snapshot(prop, pose).notes
        return SnapshotView(named(prop, bench_values(prop, pose)), finding_views(prop, findings))

    @newest_wins
    def swing(
        self,
        drive: str,
        values: Values,
        speed: float | None,
        acceleration: float | None,
        at: float | None = None,
    ) -> SwingView:
        """Swing a drive under these limits [deg/s, deg/s2], null for none; all others stand at `values`.

        It begins at its own value at time 0, or goes on from where a swing of the same drive is `at` a time [s].
        """
        prop, mechanism = self._workbench.prop, self._workbench.mechanism
        d, given = column_of(prop, drive), row(prop, values)
        limits = _limits(speed, acceleration, float(servo_speeds(prop)[d]))
        at_ends = np.array([given, given])
        at_ends[:, d] = 0.0, prop.drives[d].full_scale
        ends = targets(prop, at_ends)[:, d]
        stands = targets(prop, given[None])[0]
        made = Swing((float(ends[0]), float(ends[1])), limits, 0.0, float(stands[d]))
        if at is not None and self._swing is not None and self._swing[0] == d:
            position, velocity, towards = self._swing[2].at(at)
            made = replace(made, begin=at, start_deg=position, velocity=velocity, towards=towards)
        self._swing = d, stands, made
        own = limits_of(prop)
        speeds, slopes = own.speed.copy(), own.acceleration.copy()
        speeds[d], slopes[d] = limits.speed[0], limits.acceleration[0]
        now = Limits(speeds, slopes)
        poses = [pose_at(prop, values, mechanism=mechanism) for values in at_ends]
        told: dict[tuple[str, str], Finding] = {
            (each.subject, each.message): each for pose in poses for each in pose.findings
        }
        return SwingView(
            drive=drive,
            period=made.period,
            limit=limit_views(prop, now)[drive],
            own=limit_views(prop, own)[drive],
            sliders=limit_sliders(prop, now)[drive],
            findings=finding_views(prop, told.values()),
        )

    def swing_frames(self, begin: float, step: float, count: int, linkages: bool = False) -> FramesView:
        """Poses of the swing to play: `count` of them, `step` [s] apart; with linkages, if asked for."""
        if self._swing is None:
            raise PosekitError([error("no-swing", "", "nothing swings; press Swing again")])
        d, stands, swing = self._swing
        shafts = np.tile(stands, (count, 1))
        shafts[:, d] = swing.position(begin + step * np.arange(count))
        placed = rehearsal.places(self._workbench.prop, shafts, self._workbench.mechanism)
        return FramesView(
            begin=begin,
            step=step,
            links=picture.matrices(placed),
            commanded=None,
            linkages=self._workbench.drawn_linkages(shafts, placed) if linkages else None,
        )

    def reset_drive(self, drive: str) -> PropView:
        """Put a drive back to where it began: 90 degrees about neutral, no limits but those of its servo."""
        return self._workbench.take(reset_drive(self._workbench.prop, drive))


def _limits(speed: float | None, acceleration: float | None, most: float) -> Limits:
    """The limits of one shaft, (1,) each; never more speed than its servo has."""
    return Limits.of(
        [min(np.inf if speed is None else speed, most)], [np.inf if acceleration is None else acceleration]
    )
