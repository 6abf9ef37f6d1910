"""The TypeScript types of the door stand for what Python does."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from posekit import budgets
from posekit.bridge.overtaking import is_in_steps, is_overtaken
from posekit.bridge.typescript import PAGE_BUDGETS, protocol, requests

PROTOCOL = Path(__file__).parents[2] / "web" / "src" / "engine" / "protocol.ts"


@pytest.mark.native
def test_the_types_in_the_repository_are_those_of_the_annotations() -> None:
    right = "write it anew with `python -m posekit.bridge.typescript > web/src/engine/protocol.ts`"
    assert PROTOCOL.read_text() == protocol(), f"{PROTOCOL} is stale: {right}"


@pytest.mark.native  # the archives of the page leave out docstrings that nobody shows
def test_every_request_says_what_it_does_and_what_it_gives() -> None:
    for name, method in requests():
        assert method.__doc__, name
        assert "return" in method.__annotations__, name


def test_only_questions_are_overtaken_never_a_change() -> None:
    overtaken = {name for name, method in requests() if is_overtaken(method)}
    changes = {name for name, method in requests() if method.__annotations__["return"] == "PropView"}
    assert {"pose", "sweep", "turn", "reach", "strike_map", "show", "curves", "readings"} <= overtaken
    assert not overtaken & changes


@pytest.mark.parametrize(("mark", "marked"), [("NEWEST_WINS", is_overtaken), ("IN_STEPS", is_in_steps)])
def test_the_page_is_told_which_requests_are_overtaken_and_which_go_in_steps(
    mark: str, marked: Callable[..., bool]
) -> None:
    listed = protocol().partition(mark)[2].partition("[")[2].partition("]")[0]
    told = [word.strip(' ",\n') for word in listed.split(",") if word.strip()]
    assert told == [name for name, method in requests() if marked(method)] != []


def test_the_page_has_the_limits_of_the_core() -> None:
    written = protocol()
    for name in PAGE_BUDGETS:
        assert f"  {name}: {getattr(budgets, name)},\n" in written
