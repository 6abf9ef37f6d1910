"""Files that are dropped or chosen together: none of them is lost without a word."""

from __future__ import annotations

from typing import Any

import pytest

from tests.web.in_node import needs_node, told_by

pytestmark = [pytest.mark.native, needs_node]

# What becomes of files that come together, given as [path, text]: of a folder, or side by side.
TOGETHER = """
const protocol = { BUDGETS: { FOLDER_FILES: 100, FOLDER_BYTES: 1e6 }, KINDS: {
  PROPS: [], SNAPSHOTS: [".csv"], SHOWS: [], CAPTURES: [], NOTES: [],
  COLOURS: [".mtl"], MESHES: [".stl", ".obj"], ASSEMBLIES: [".step"],
} };
const files = loaded("work/files", { fflate: require("./node_modules/fflate"), "../engine/protocol": protocol });
const folders = loaded("work/folders", { "../engine/protocol": protocol, "./files": files });
const [called, named] = given;
const came = named.map(([path, text]) => ({ path, file: new Blob([text]) }));
folders.bytesOf(came).then((bytes) => files.ofFolder(bytes, "hare", called)).then(
  ({ kind, files, left }) => tell({ kind, files: Object.keys(files), left }),
  (problem) => tell(problem.message),
);
"""


def together(*paths: str, called: str = "files") -> Any:
    return told_by(TOGETHER, [called, [[path, f"{path} {row}"] for row, path in enumerate(paths)]])


def test_what_is_no_part_is_named_beside_the_parts() -> None:
    found = together("arm.stl", "bracket.3mf", "skin.obj", "skin.mtl", "readme.txt")
    assert found["kind"] == "parts"
    assert found["files"] == ["arm.stl", "skin.obj", "skin.mtl"]
    assert found["left"] == ["bracket.3mf", "readme.txt"]


def test_two_files_of_one_name_are_told_and_neither_is_taken() -> None:
    told = "Two of them are called “arm.stl”, from different folders."
    assert together("arm.stl", "base.stl", "arm.stl").startswith(told)
    assert together("left/arm.stl", "right/arm.stl")["files"] == ["left/arm.stl", "right/arm.stl"]


def test_files_that_are_no_prop_together_are_not_called_a_folder() -> None:
    told = "neither a prop.toml nor parts (STL, OBJ, PLY, GLB, STEP, URDF)."
    side_by_side = together("rest.csv", "alert.csv")
    assert side_by_side == f"Among them is {told} Open snapshots, shows and notes one at a time."
    assert together("looks/a.csv", "looks/b.csv", called="folder") == f"The folder holds {told}"
