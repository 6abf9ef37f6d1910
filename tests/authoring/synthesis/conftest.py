"""Numbers from outside, which tests/reference/mechanisms.toml names a source and a grade beside."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

REFERENCE = Path(__file__).parents[2] / "reference" / "mechanisms.toml"


@pytest.fixture(scope="session")
def reference() -> dict[str, Any]:
    """The worked examples of the text books."""
    return tomllib.loads(REFERENCE.read_text(encoding="utf-8"))
