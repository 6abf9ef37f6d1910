"""Long work that a desk goes on with from request to request."""

import re
from collections.abc import Generator
from pathlib import Path

import pytest

import posekit.bridge
from posekit.bridge.steps import Steps

FOLDER = Path(posekit.bridge.__file__).parent


def counted(missing: list[str], heard: list[object]) -> Generator[int, object, str]:
    for state in range(3):
        heard.append((yield state))
        if state == 1 and missing:
            raise ModuleNotFoundError(name=missing.pop())
    return "made"


def test_work_in_which_a_module_is_missing_is_begun_anew_and_comes_to_its_end() -> None:
    missing, states = ["trimesh", "numpy.ma"], []
    steps = Steps(lambda: counted(missing, []))
    with pytest.raises(StopIteration) as end:
        for _ in range(20):
            try:
                states.append(steps.go_on())
            except ModuleNotFoundError:
                states.append(-1)
    assert states == [0, 1, -1, 0, 1, -1, 0, 1, 2]
    assert end.value.value == "made"


def test_a_stop_is_heard_by_work_that_has_begun_also_where_it_was_begun_anew() -> None:
    heard: list[object] = []
    missing = ["trimesh"]
    steps = Steps(lambda: counted(missing, heard))
    assert [steps.go_on(), steps.go_on()] == [0, 1]
    with pytest.raises(ModuleNotFoundError):
        steps.stop()
    assert [steps.stop(), steps.stop()] == [0, 1], "the first step comes before anything is heard"
    assert heard == [None, True, True]


@pytest.mark.native  # it reads the sources, of which a page has only the bytecode
def test_no_desk_goes_on_with_a_generator_by_itself() -> None:
    """Which would have ended with the first module that is missing."""
    held = re.compile(r"self\.\w+\s*:\s*Generator\b|next\(self\.|self\.\w+(\(\))?\.send\(")
    found = [file.name for file in FOLDER.glob("*.py") if held.search(file.read_text())]
    assert found == ["steps.py"]
