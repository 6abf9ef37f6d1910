"""What can be done to supplies: each public method of `SupplyDesk` is one request of the page."""

from __future__ import annotations

from posekit.authoring.add import add_supply
from posekit.bridge.views import PropView
from posekit.bridge.workbench import Workbench


class SupplyDesk:
    """The supplies of the prop on a workbench. Their names are changed and taken out as those of parts are."""

    def __init__(self, workbench: Workbench) -> None:
        self._workbench = workbench

    def add_supply(self, name: str, voltage: float, current: float) -> PropView:
        """One more supply [V, A], which feeds no drive until one names it."""
        keys = {"voltage": voltage, "current": current}
        return self._workbench.take(add_supply(self._workbench.prop, name, keys))
