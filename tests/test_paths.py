"""One rule for paths, for names inside a folder and for files on disk."""

from __future__ import annotations

import os
import sys
from pathlib import Path, PureWindowsPath

import pytest
from hypothesis import given
from hypothesis import strategies as st

import posekit
from posekit.budgets import FOLDER_FILES
from posekit.paths import file_inside, files_inside, inner, problems_of, read_within

GOOD = ["prop.toml", "meshes/beak.stl", "looks/Wide awake.csv", "looks/größe.csv", "looks/a..b.csv", "con/a"][
    :-1
]
BAD = [
    "", "/etc/passwd", "//host/share", "..", "../x", "a/../../x", "a/..", "a/./b", "./a", "a//b", "a/",
    "C:x", "c:/x", "a:b", "a\\b", "..\\x", "\\\\host\\x", "a\0b", "a\nb", "a\x1b", "CON", "nul.csv", "looks/COM1",
    "looks/aux .csv", "lpt9.tar.gz", "CONIN$", "a.", "a ", " a", "a /b", "what?.csv", "a*", "a|b", '"a"', "\ud800",
    "a/" * 17 + "b", "a" * 241,
]  # fmt: skip
posix = pytest.mark.skipif(sys.platform == "win32", reason="pipes and links of POSIX")
pytestmark = pytest.mark.native


@pytest.mark.parametrize("path", GOOD)
def test_an_ordinary_path_is_taken_as_it_is(path: str) -> None:
    assert inner(path) == path


@pytest.mark.parametrize("path", BAD)
def test_a_path_that_leaves_its_folder_or_is_none_on_some_system_is_refused_by_name(path: str) -> None:
    with pytest.raises(posekit.PosekitError) as refused:
        inner(path)
    assert refused.value.findings[0].code == "bad-path"
    assert refused.value.findings[0].file == path[:2000]


@given(
    st.lists(st.sampled_from(["..", ".", "", "a", "CON", "C:", "b\\c", "x.y", "~"]), min_size=1).map("/".join)
)
def test_a_path_that_is_taken_stays_inside_on_posix_and_on_windows(path: str) -> None:
    if problems_of([path]):
        return
    assert Path("/base", path).is_relative_to("/base")
    there = PureWindowsPath("C:/base", path)
    assert there.is_relative_to("C:/base") and ".." not in there.parts
    assert os.path.normpath(path) == path


def test_two_names_that_some_disk_takes_for_one_are_told() -> None:
    assert problems_of(["looks/a.csv", "looks/b.csv"]) == []
    for pair in (["looks/A.csv", "looks/a.csv"], ["looks/a", "looks/a/b.csv"], ["LOOKS", "looks/b.csv"]):
        assert [found.code for found in problems_of(pair)] == ["bad-path"], pair


@posix
def test_a_link_that_leaves_the_folder_is_refused_and_one_that_stays_is_taken(tmp_path: Path) -> None:
    folder = tmp_path / "prop"
    (folder / "looks").mkdir(parents=True)
    (folder / "looks" / "a.csv").write_text("a")
    (tmp_path / "secret.csv").write_text("secret")
    (folder / "looks" / "same.csv").symlink_to("a.csv")
    (folder / "looks" / "out.csv").symlink_to("../../secret.csv")
    (folder / "looks" / "loop.csv").symlink_to("loop.csv")
    (folder / "looks" / "ring").symlink_to("ring")
    (folder / "shows").symlink_to(tmp_path)
    assert file_inside(folder, "looks/same.csv").read_text() == "a"
    for path in ("looks/out.csv", "looks/loop.csv", "looks/ring/a.csv", "shows/secret.csv"):
        with pytest.raises(posekit.PosekitError, match="link"):
            file_inside(folder, path)
    with pytest.raises(posekit.PosekitError, match="symbolic link"):
        list(files_inside(folder, ["looks/"]))
    with pytest.raises(posekit.PosekitError, match="symbolic link"):
        list(files_inside(folder, ["shows/"]))
    for name in ("out.csv", "loop.csv", "ring"):
        (folder / "looks" / name).unlink()
    assert [path for path, _ in files_inside(folder, ["looks/", "meshes/"])] == [
        "looks/a.csv",
        "looks/same.csv",
    ]
    (folder / "looks" / "deep").symlink_to(folder)
    with pytest.raises(posekit.PosekitError, match="symbolic link to a folder"):
        list(files_inside(folder, ["looks/"]))


def test_a_folder_of_too_many_files_is_refused(tmp_path: Path) -> None:
    (tmp_path / "looks").mkdir()
    for number in range(FOLDER_FILES + 1):
        (tmp_path / "looks" / f"{number}.csv").touch()
    with pytest.raises(posekit.PosekitError, match=str(FOLDER_FILES)):
        list(files_inside(tmp_path, ["looks/"]))


@posix
@pytest.mark.timeout(10)
def test_a_pipe_a_device_and_a_folder_are_refused_at_once(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    for place in (tmp_path / "pipe", "/dev/zero", "/dev/null", tmp_path):
        with pytest.raises(posekit.PosekitError, match="ordinary file"):
            read_within(place, 100)


def test_a_file_is_read_up_to_its_budget_and_refused_beyond_it(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"12345")
    assert read_within(tmp_path / "a", 5) == b"12345"
    with pytest.raises(posekit.PosekitError, match="5 bytes; a note may have 4 bytes at most"):
        read_within(tmp_path / "a", 4, "a note")
    for nowhere in (tmp_path / "none", "a\0b", "a" * 5000):
        with pytest.raises(posekit.PosekitError, match="cannot be read"):
            read_within(nowhere, 4)
