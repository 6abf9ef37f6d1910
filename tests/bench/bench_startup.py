"""How long a fresh process takes to pose the heron once, beside one that imports numpy and no more.

python tests/bench/bench_startup.py
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

HERON = Path(__file__).parents[2] / "models" / "heron"
POSE = f"import posekit; posekit.pose(posekit.load({str(HERON)!r}), posekit.Snapshot({{}}))"
TIMED = "import time; start = time.perf_counter(); {work}; print(time.perf_counter() - start)"


def seconds(work: str) -> float:
    """The best of five, so that load matters little."""
    code = TIMED.format(work=work)
    runs = [
        subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
        for _ in range(5)
    ]
    return min(float(run.stdout) for run in runs)


if __name__ == "__main__":
    pose, numpy = seconds(POSE), seconds("import numpy")
    print(f"import numpy {numpy:.3f} s, the heron posed {pose:.3f} s: {pose / numpy:.2f} times")
