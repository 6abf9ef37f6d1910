"""What can be asked where a linkage is looked for: each public method of `SearchDesk` is one request of the page."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from posekit.arrays import Array
from posekit.authoring.movement import Movement, Proposals, proposal_steps, with_dimensions
from posekit.authoring.searching import Searching
from posekit.authoring.synthesis import Candidate, Place, Sizes, Stock
from posekit.authoring.typed_sizes import typed_sizes, typed_vector
from posekit.bridge import picture
from posekit.bridge.linkage_desk import views_of
from posekit.bridge.linkage_views import CandidateView, PreviewView, SearchView
from posekit.bridge.overtaking import newest_wins
from posekit.bridge.steps import Steps
from posekit.bridge.view_of_prop import finding_views
from posekit.bridge.views import PropView, Range, Setting, Values
from posekit.bridge.workbench import Workbench, row
from posekit.errors import Finding, PosekitError, error
from posekit.fields import Vector
from posekit.linkage.advantage import POOR_TRANSMISSION_DEG
from posekit.mechanism.joints import mechanism_of, solve
from posekit.mechanism.kinematics import forward
from posekit.mechanism.skeleton import placed, points, skeleton
from posekit.prop.model import Prop
from posekit.report.drive import column_of
from posekit.signal.calibration import pulses, shafts
from posekit.text import exact

_NO_PLACE = "push-rods are not looked for: type where the servo's shaft is"


class SearchDesk:
    """Linkages that make a movement: looked for in steps, seen moving, taken."""

    def __init__(self, workbench: Workbench) -> None:
        self._workbench = workbench
        self._steps: Steps[Searching, Proposals] | None = None

    def find_linkage(
        self,
        drive: str,
        joint: Range | None = None,
        positions: tuple[Range, ...] = (),
        transmission_deg: float = POOR_TRANSMISSION_DEG,
        horns: str = "",
        arms: str = "",
        rods: str = "",
        servo_at: str = "",
        servo_axis: str = "",
    ) -> SearchView:
        """Begin to look for linkages that make a movement; `find_on` goes on with it.

        `joint` is where it stands at value 0 and at full scale, or `positions` at values (value, position). `horns`,
        `arms` and `rods` are lengths as they are typed, empty for what is usual; `servo_at` and `servo_axis` place the
        servo of a push-rod, as three numbers in the part that carries the joint.
        """
        at = tuple((round(value), position) for value, position in positions)
        movement = Movement(joint=joint, positions=at, transmission_deg=transmission_deg)
        stock = _stock({"horns": horns, "arms": arms, "rods": rods}, servo_at, servo_axis)
        prop = self._workbench.prop
        self._steps = Steps(lambda: proposal_steps(prop, drive, movement, stock))
        return self.find_on(0.0)

    def find_on(self, seconds: float) -> SearchView:
        """Go on for about so long."""
        if self._steps is None:
            raise PosekitError([error("no-search", "", "nothing is looked for")])
        try:
            state = self._steps.go_on(seconds)
        except StopIteration as finished:
            self._steps = None
            return _done(self._workbench.prop, finished.value)
        except PosekitError:
            self._steps = None
            raise
        word = state.type.replace("_", "-")
        doing = f"asking why no {word} fits" if state.asks_why else f"looking for a {word}"
        return SearchView(False, doing, tuple(map(_view, state.candidates)), ())

    @newest_wins
    def preview_linkage(
        self, drive: str, type: str, dimensions: Mapping[str, Setting], values: Values, steps: int = 49
    ) -> PreviewView:
        """The prop with another linkage, moving from value 0 to full scale; the open one stays as it is."""
        prop = with_dimensions(self._workbench.prop, drive, type, _as_toml(dimensions))
        d, made = column_of(prop, drive), mechanism_of(prop)
        rows = np.tile(row(prop, values), (steps, 1))
        rows[:, d] = np.rint(np.linspace(0, prop.drives[d].full_scale, steps))
        shaft = shafts(prop, pulses(prop, rows))
        world: Array = forward(prop, solve(prop, shaft, made).position, made.tree)
        found = placed(prop, made)
        return PreviewView(
            linkages=tuple(views_of(prop, found)),
            links=picture.matrices(world),
            points=picture.points(points(skeleton(found, shaft, world), steps)).astype(np.float32),
        )

    def take_linkage(self, drive: str, type: str, dimensions: Mapping[str, Setting]) -> PropView:
        """Give a drive a linkage that was found."""
        prop = with_dimensions(self._workbench.prop, drive, type, _as_toml(dimensions))
        return self._workbench.take(prop)


def _stock(lengths: Mapping[str, str], servo_at: str, servo_axis: str) -> Stock:
    usual = Stock()

    def had(name: str, otherwise: Sizes) -> Sizes:
        return typed_sizes(lengths[name], subject=name) if lengths[name].strip() else otherwise

    stock = Stock(horns=had("horns", usual.horns), arms=had("arms", usual.arms), rods=had("rods", usual.rods))
    if not servo_at.strip():
        return stock
    axis = _point(servo_axis, "direction of the shaft") if servo_axis.strip() else None
    return replace(stock, places=(Place(shaft_at=_point(servo_at, "servo shaft at"), shaft_axis=axis),))


def _point(text: str, subject: str) -> Vector:
    if (found := typed_vector(text)) is None:
        said = "three numbers are needed; write them as 0, 35.5, 30"
        raise PosekitError([error("wrong-value", subject, said)])
    return found


def _as_toml(dimensions: Mapping[str, Setting]) -> dict[str, Any]:
    return {key: list(value) if isinstance(value, tuple) else value for key, value in dimensions.items()}


def _done(prop: Prop, found: Proposals) -> SearchView:
    told: list[Finding] = [
        replace(each, message=_NO_PLACE) if each.code == "no-place" else each for each in found.findings
    ]
    return SearchView(True, "", tuple(map(_view, found.candidates)), finding_views(prop, told))


def _view(each: Candidate) -> CandidateView:
    sizes = {"horn": each.horn_mm, "rod": each.rod_mm, "arm": each.arm_mm}
    made = [f"{name} {exact(length)} mm" for name, length in sizes.items() if length]
    return CandidateView(
        type=each.type,
        dimensions={
            key: tuple(value) if isinstance(value, list) else value for key, value in each.dimensions.items()
        },
        made_of=each.remark or ", ".join(made),
        reach=each.reach,
        transmission_deg=each.transmission_deg,
        bend=each.straightness,
        dead_deg=each.dead_deg,
        torque=each.torque,
        off=each.off,
    )
