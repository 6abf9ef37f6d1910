"""What saving would change in a folder that the page itself reads: each public method of `Saving` is one request."""

from __future__ import annotations

from collections.abc import Mapping

from posekit.bridge.workbench import Workbench
from posekit.errors import PosekitError
from posekit.paths import problems_of
from posekit.prop.difference import FileDifference, differences


class Saving:
    """The files of a prop against those of a folder on the builder's machine."""

    def __init__(self, workbench: Workbench) -> None:
        self._workbench = workbench

    def differences(
        self, old: Mapping[str, bytes], new: Mapping[str, bytes | None], there: tuple[str, ...] = ()
    ) -> tuple[FileDifference, ...]:
        """What the new files change in the old ones, file by file and line by line; null removes a file.

        `there` are the paths of all files in the folder. A new file that some system takes for one of them is refused.
        """
        gone = {path for path, content in new.items() if content is None}
        if wrong := problems_of(path for path in dict.fromkeys([*there, *new]) if path not in gone):
            raise PosekitError(wrong)
        return differences(old, new)
