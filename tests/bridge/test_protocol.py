"""The TypeScript types of the door stand for what Python does."""

from __future__ import annotations

from pathlib import Path

import pytest

from posekit.bridge.typescript import protocol, requests

PROTOCOL = Path(__file__).parents[2] / "web" / "src" / "engine" / "protocol.ts"


@pytest.mark.native
def test_the_types_in_the_repository_are_those_of_the_annotations() -> None:
    right = "write it anew with `python -m posekit.bridge.typescript > web/src/engine/protocol.ts`"
    assert PROTOCOL.read_text() == protocol(), f"{PROTOCOL} is stale: {right}"


def test_every_request_says_what_it_does_and_what_it_gives() -> None:
    for name, method in requests():
        assert method.__doc__, name
        assert "return" in method.__annotations__, name
