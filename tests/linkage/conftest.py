"""What the tests of the linkages share: numbers from outside, and linkages of any size."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

REFERENCE = Path(__file__).parents[1] / "reference" / "mechanisms.toml"


@pytest.fixture(scope="session")
def mechanisms() -> dict[str, Any]:
    """tests/reference/mechanisms.toml, which names a source and a grade beside each value."""
    return tomllib.loads(REFERENCE.read_text(encoding="utf-8"))
