"""A fresh process: what it loads. How long that takes is measured in tests/bench/bench_startup.py."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.native  # starts processes of its own

HERON = Path(__file__).parent.parent / "models" / "heron"
POSE = f"import posekit; posekit.pose(posekit.load({str(HERON)!r}), posekit.Snapshot({{}}))"


def output_of(code: str) -> str:
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return done.stdout.strip()


def test_posing_the_heron_loads_no_mesh_or_file_library() -> None:
    loaded = output_of(f"import sys; {POSE}; print(' '.join(sys.modules))").split()
    heavy = {
        "trimesh",
        "pygltflib",
        "click",
        "rich",
        "scipy",
        "dpkt",
        "uvicorn",
        "starlette",
        "anyio",
    }
    assert not heavy & set(loaded)


def test_what_a_page_asks_first_loads_nothing_to_build_with() -> None:
    """The distances of the first pose come from the survey; building, sheets and searches are loaded when asked for."""
    first = "from posekit.bridge import Dispatcher; Dispatcher().handle('near', '{}')"
    loaded = output_of(f"import sys; {first}; print(' '.join(sys.modules))").split()
    assert "posekit.bridge.survey" in loaded
    later = (
        "posekit.authoring.synthesis",
        "posekit.exchange",
        "posekit.report.sheet",
        "posekit.bridge.begin",
        "posekit.motion",
        "posekit.stream",
        "posekit.statics.worst",
        "posekit.report.strength",
    )
    assert not [name for name in loaded if name.startswith(later)]


@pytest.mark.parametrize("asked", ["strength", "prove", "lose", "survey"])
def test_what_the_second_worker_is_for_loads_nothing_to_build_or_print_with(asked: str) -> None:
    """It starts when its first work is wanted, and a page would have to fetch what reads XML."""
    work = f"from posekit.bridge import Dispatcher; Dispatcher().handle('{asked}', '{{}}')"
    loaded = output_of(f"import sys; {work}; print(' '.join(sys.modules))").split()
    later = ("posekit.authoring.synthesis", "posekit.exchange", "posekit.report.sheet", "xml", "html")
    assert not [name for name in loaded if name.startswith(later)]


def test_the_command_line_by_itself_loads_nothing_that_reckons() -> None:
    """Its version, its help and what it says of wrong use are told at once."""
    loaded = output_of("import sys, posekit.cli; print(' '.join(sys.modules))").split()
    assert "posekit.cli.printing" in loaded
    assert not {"numpy", "posekit.clearance", "posekit.prop.model"} & set(loaded)
