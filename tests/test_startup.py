"""A fresh process: what it loads, and how long it takes more than importing numpy alone."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.native  # starts processes of its own

HERON = Path(__file__).parent.parent / "models" / "heron"
POSE = f"import posekit; posekit.pose(posekit.load({str(HERON)!r}), posekit.Snapshot({{}}))"
TIMED = "import time; start = time.perf_counter(); {work}; print(time.perf_counter() - start)"


def output_of(code: str) -> str:
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return done.stdout.strip()


def seconds(work: str) -> float:
    return min(float(output_of(TIMED.format(work=work))) for _ in range(5))


def test_posing_the_heron_loads_no_mesh_or_file_library() -> None:
    loaded = output_of(f"import sys; {POSE}; print(' '.join(sys.modules))").split()
    heavy = {"trimesh", "pygltflib", "tomlkit", "click", "rich", "scipy", "dpkt"}
    assert not heavy & set(loaded)


def test_posing_the_heron_once_takes_less_than_half_a_second_more_than_numpy() -> None:
    # the one bound in seconds that a builder feels at each command; the best of five, so that load matters little
    assert seconds(POSE) - seconds("import numpy") < 0.5
