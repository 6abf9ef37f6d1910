"""What saving would change in a folder that the page itself reads: each public method of `Saving` is one request."""

from __future__ import annotations

from collections.abc import Mapping

from posekit.bridge.workbench import Workbench
from posekit.prop.difference import FileDifference, differences


class Saving:
    """The files of a prop against those of a folder on the builder's machine."""

    def __init__(self, workbench: Workbench) -> None:
        self._workbench = workbench

    def differences(
        self, old: Mapping[str, bytes], new: Mapping[str, bytes | None]
    ) -> tuple[FileDifference, ...]:
        """What the new files change in the old ones, file by file and line by line; null removes a file."""
        return differences(old, new)
