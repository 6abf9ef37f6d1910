"""The runtime of the page as it was built: archives for Pyodide, and the Node that runs them here."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
WEB = ROOT / "web"

sys.path.insert(0, str(WEB))  # where the build of the page lives; it is no part of the package


@dataclass(frozen=True)
class Built:
    """A built page, its runtime, and Node."""

    page: Path
    runtime: Path
    node: str

    def run(self, script: str, *args: str) -> str:
        """What a script of this folder prints."""
        command = [self.node, str(Path(__file__).parent / script), *args]
        done = subprocess.run(command, capture_output=True, text=True)
        assert done.returncode == 0, done.stdout[-4000:] + done.stderr[-4000:]
        return done.stdout

    def manifest(self) -> Any:
        return json.loads((self.runtime / "manifest.json").read_text())


@pytest.fixture(scope="session")
def built() -> Built:
    """The page, built first if it is not up to date."""
    import page

    page.build()
    node = page.node_on_path() or page.node_from_wheel()
    return Built(page.PAGE, page.CACHE / "runtime", node)
