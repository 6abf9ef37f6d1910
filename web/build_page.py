"""Build hook: `pip install .` also builds the page into posekit/page/."""

from __future__ import annotations

import os
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


class BuildPage(BuildHookInterface):
    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        if os.environ.get("POSEKIT_PAGE") == "skip":
            return
