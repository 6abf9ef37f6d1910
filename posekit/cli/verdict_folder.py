"""A folder that keeps verdicts by content, one small JSON file each."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from posekit.clearance import PairVerdict
from posekit.prop.writer import make_folder, write_whole


@dataclass(frozen=True, slots=True)
class VerdictFolder:
    """The verdicts kept in a folder. What cannot be read counts as not kept."""

    place: Path

    def __post_init__(self) -> None:
        make_folder(self.place)  # at once, so that a slip in the path is told before any work

    def __contains__(self, name: object) -> bool:
        return self._read(str(name)) is not None

    def __getitem__(self, name: str) -> dict[str, Any]:
        found = self._read(name)
        if found is None:
            raise KeyError(name)
        return found

    def __setitem__(self, name: str, data: dict[str, Any]) -> None:
        write_whole(self._file(name), json.dumps(data).encode())

    def _file(self, name: str) -> Path:
        return self.place / f"{name}.json"

    def _read(self, name: str) -> dict[str, Any] | None:
        try:
            found: dict[str, Any] = json.loads(self._file(name).read_bytes())
            PairVerdict.again(found)
        except (OSError, ValueError, KeyError, TypeError):
            return None
        return found
