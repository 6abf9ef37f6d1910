"""Write the meshes and convex pieces of the demo props: `python models/make_meshes.py [PROP ...]`, all of them by default.

The same vertices every time; sculpt/ holds how each is made.
"""

from __future__ import annotations

import sys
from pathlib import Path

from posekit.clearance.pieces import write_pieces
from sculpt import bellows, heron, longwood
from sculpt.skin import ply

FIGURES = {"heron": heron, "bellows": bellows, "longwood": longwood}


def main(names: list[str]) -> None:
    """Write meshes/*.ply and *.pieces.json of the named props."""
    for name in names or FIGURES:
        folder = Path(__file__).parent / name / "meshes"
        folder.mkdir(parents=True, exist_ok=True)
        for part, skin in FIGURES[name].skins().items():
            data = ply(skin)
            (folder / f"{part}.ply").write_bytes(data)
            print(f"{name}/{part}.ply: {len(skin.faces)} faces, {len(data) / 1000:.0f} kB")
        for part, pieces in FIGURES[name].pieces().items():
            (folder / f"{part}.pieces.json").write_bytes(write_pieces(pieces))
            print(f"{name}/{part}: {len(pieces.hulls)} pieces, {sum(map(len, pieces.hulls))} corners, skin {pieces.skin_mm} mm")


if __name__ == "__main__":
    main(sys.argv[1:])
