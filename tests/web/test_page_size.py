"""How much the page adds to the wheel; what a first visit takes is in test_page_first_visit.py."""

from __future__ import annotations

import zlib

import pytest

from posekit.serve.site import PAGE

pytestmark = [pytest.mark.page, pytest.mark.usefixtures("address")]

WHEEL_BYTES = 30e6  # as a wheel compresses it; the README names 28 MB


def test_the_page_adds_no_more_to_the_wheel_than_is_said() -> None:
    there = [path for path in PAGE.rglob("*") if path.is_file()]
    assert sum(len(zlib.compress(path.read_bytes(), 6)) for path in there) < WHEEL_BYTES
    assert [path.name for path in there if path.name.endswith((".map", ".gz"))] == []
