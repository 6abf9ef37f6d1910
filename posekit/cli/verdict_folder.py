"""A folder that keeps verdicts by content, one small JSON file each."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from posekit.budgets import VERDICT_BYTES
from posekit.paths import read_within
from posekit.prop.writer import make_folder, write_whole
from posekit.textfile import json_value


@dataclass(frozen=True, slots=True)
class VerdictFolder:
    """The verdicts kept in a folder. Whether what it holds can be believed is for who asks to judge."""

    place: Path

    def __post_init__(self) -> None:
        make_folder(self.place)  # at once, so that a slip in the path is told before any work

    def get(self, name: str) -> Any | None:
        """What is kept by this name. Raises PosekitError or ValueError for what is no file of JSON."""
        file = self._file(name)
        if not file.exists():
            return None
        return json_value(read_within(file, VERDICT_BYTES, "a stored verdict"))

    def __setitem__(self, name: str, data: dict[str, Any]) -> None:
        write_whole(self._file(name), json.dumps(data, indent=1).encode())

    def _file(self, name: str) -> Path:
        return self.place / f"{name}.json"
