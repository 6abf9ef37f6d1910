"""How long `posekit new` takes for ten meshes of 100,000 triangles, in seconds and beside trimesh reading them alone.

python tests/bench/bench_new.py [--no-pieces]
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path
from time import perf_counter

import numpy as np
import trimesh


def write_parts(folder: Path) -> list[str]:
    """Ten bulging closed skins of 102,400 triangles, in CAD coordinates along x."""
    files = []
    for number in range(10):
        ball = trimesh.creation.icosphere(6, 30.0 + number)
        v = np.asarray(ball.vertices)
        v = v * (1 + 0.08 * np.sin(v[:, [0]] / (4 + number)) * np.cos(v[:, [1]] / 5)) + (70 * number, 0, 0)
        knob = trimesh.creation.icosphere(5, 5.0)
        knob.apply_translation((70 * number, 0, 60))
        whole = trimesh.util.concatenate([trimesh.Trimesh(v, ball.faces, process=False), knob])
        files.append(str(folder / f"part{number}.stl"))
        whole.export(files[-1])
    return files


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as place:
        parts = write_parts(Path(place))
        start = perf_counter()
        for part in parts:
            trimesh.load_mesh(part)
        read = perf_counter() - start
        start = perf_counter()
        command = [sys.executable, "-m", "posekit", "new", f"{place}/figure", *parts, *sys.argv[1:], "--json"]
        subprocess.run(command, check=True, capture_output=True)
        made = perf_counter() - start
        print(f"trimesh reads them in {read:.1f} s; posekit new takes {made:.1f} s: {made / read:.1f} times")
