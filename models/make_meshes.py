"""Write the meshes of the demo props: `python models/make_meshes.py [PROP ...]`, all of them by default.

The same vertices every time; sculpt/ holds how each is made.
"""

from __future__ import annotations

import sys
from pathlib import Path

from sculpt import heron
from sculpt.skin import ply

FIGURES = {"heron": heron.skins}


def main(names: list[str]) -> None:
    """Write meshes/*.ply of the named props."""
    for name in names or FIGURES:
        folder = Path(__file__).parent / name / "meshes"
        folder.mkdir(exist_ok=True)
        for part, skin in FIGURES[name]().items():
            data = ply(skin)
            (folder / f"{part}.ply").write_bytes(data)
            print(f"{name}/{part}.ply: {len(skin.faces)} faces, {len(data) / 1000:.0f} kB")


if __name__ == "__main__":
    main(sys.argv[1:])
