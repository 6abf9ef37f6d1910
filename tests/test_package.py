"""The package as its users meet it: its table of contents, its types, its command."""

from __future__ import annotations

import re
import subprocess
import sys
from importlib.resources import files

import pytest

import posekit


def test_every_name_of_the_table_of_contents_is_there_and_stands_in_its_text() -> None:
    assert [name for name in posekit.__all__ if not hasattr(posekit, name)] == []
    assert {"Show", "follow", "envelope", "move", "pose", "check", "load", "Snapshot"} <= set(posekit.__all__)
    assert sorted(posekit.__all__) == posekit.__all__
    text = posekit.__doc__ or ""
    unsaid = [name for name in posekit.__all__ if name not in re.findall(r"\w+", text)]
    assert unsaid == ["Finding", "Pose", "PosekitError", "Prop"]


def test_an_unknown_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="nonsense"):
        posekit.nonsense  # noqa: B018


def test_the_package_says_that_it_is_typed() -> None:
    assert (files("posekit") / "py.typed").is_file()


@pytest.mark.native
def test_the_command_can_be_run_as_a_module() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "posekit", "--version"], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == f"posekit, version {posekit.__version__}"
