"""Files beside the prop file by their names: none hides another, and every name is found again."""

from __future__ import annotations

import pytest

from posekit.errors import PosekitError
from posekit.prop.folder import LOOKS, in_folder, place_in


def test_a_file_is_named_without_its_ending() -> None:
    paths = ["looks/up.csv", "looks/half.up.json", "shows/up.toml"]
    assert in_folder(paths, LOOKS) == {"up": "looks/up.csv", "half.up": "looks/half.up.json"}


@pytest.mark.parametrize(
    "files",
    [("a.csv", "a.json"), ("a", "a.csv"), ("a.csv", "a.json", "a.csv.txt")],
)
def test_files_of_one_stem_keep_their_endings(files: tuple[str, ...]) -> None:
    paths = [f"looks/{file}" for file in files]
    assert in_folder(paths, LOOKS) == {path.removeprefix("looks/"): path for path in paths}


@pytest.mark.parametrize("name", ["", " ", "a/b", "a\\b", "c:", ".draft", " .draft", ".."])
def test_what_cannot_be_the_name_of_a_file_is_refused(name: str) -> None:
    with pytest.raises(PosekitError, match="cannot be the name of a file in looks/"):
        place_in(LOOKS, name, ".csv")


def test_a_dot_inside_a_name_stays() -> None:
    assert place_in(LOOKS, " half.up ", ".csv") == "looks/half.up.csv"
