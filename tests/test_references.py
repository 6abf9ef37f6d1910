"""Reference libraries are there, so that no check against them is skipped unnoticed."""

from __future__ import annotations

from importlib.util import find_spec

import pytest

pytestmark = pytest.mark.native

REFERENCES = ("coal", "coacd", "distributed", "fcl", "pinocchio", "ruckig", "sacn", "scipy", "yourdfpy")


@pytest.mark.parametrize("name", REFERENCES)
def test_a_reference_library_is_installed(name: str) -> None:
    assert find_spec(name), f"{name} is missing: pip install -e '.[test]'"
