"""Write the meshes and convex pieces of the demo props: `python models/make_meshes.py [PROP ...]`.

The same vertices every time; sculpt/ holds how each is made.
"""

from __future__ import annotations

import sys
from pathlib import Path

import sculpt.bellows.parts
import sculpt.heron.parts
import sculpt.longwood.parts
from sculpt.skin import ply

from posekit.shape.piece_file import write_pieces

FIGURES = {
    "heron": sculpt.heron.parts,
    "bellows": sculpt.bellows.parts,
    "longwood": sculpt.longwood.parts,
}


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
            corners = sum(len(hull) for hull in pieces.hulls)
            print(f"{name}/{part}: {len(pieces.hulls)} pieces, {corners} corners, skin {pieces.skin_mm} mm")


if __name__ == "__main__":
    main(sys.argv[1:])
