"""Changing a value keeps everything else as the builder wrote it; files are written whole or not at all."""

from __future__ import annotations

import os
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import posekit
from posekit.linkage import Gear
from posekit.prop.writer import write_whole


def test_changing_an_end_point_changes_no_other_character(arm: posekit.Prop) -> None:
    edited = posekit.edit(arm, "drives.shoulder.pulse.low", 1100)
    assert edited.text == arm.text.replace("low = 1000", "low = 1100")
    assert edited.drives[0].pulse.low == 1100


def test_numbers_of_numpy_are_written_as_numbers(arm: posekit.Prop) -> None:
    edited = posekit.edit(arm, "drives.shoulder.address", np.int64(7))
    stopped = posekit.edit(edited, "joints.shoulder.stops", np.array([-10.0, 10.0]))
    assert "address = 7\n" in stopped.text and "stops = [-10.0, 10.0]\n" in stopped.text


def test_a_key_that_was_left_out_is_added_to_its_table(arm: posekit.Prop) -> None:
    edited = posekit.edit(arm, "drives.shoulder.speed", 90.0)
    assert edited.drives[0].speed == 90.0
    assert edited.text.startswith(arm.text)


def test_a_whole_table_is_set_at_once(arm: posekit.Prop) -> None:
    edited = posekit.edit(arm, "drives.shoulder.linkage", {"type": "gear", "ratio": 2.0})
    assert edited.drives[0].linkage == Gear(ratio=2.0)
    assert "# the end points of the bench" in edited.text


def test_removing_a_key_brings_its_default_back(arm: posekit.Prop) -> None:
    assert posekit.edit(arm, "joints.shoulder.stops", None).joints[0].stops is None


def test_a_shape_is_edited_by_its_place_in_the_list(arm: posekit.Prop) -> None:
    edited = posekit.edit(arm, "links.arm.shapes[0].colour", "#112233")
    assert edited.links[1].shapes[0].colour == "#112233"


@pytest.mark.parametrize(
    "path", ["links.arm.shapes[7].colour", "name.low", "drives.shoulder.address.low", "", "[0]"]
)
def test_a_place_that_is_not_there_is_refused(arm: posekit.Prop, path: str) -> None:
    with pytest.raises(posekit.PosekitError):
        posekit.edit(arm, path, 1)


def test_an_edit_that_breaks_the_prop_is_refused(arm: posekit.Prop) -> None:
    with pytest.raises(posekit.PosekitError, match="use 512 or less"):
        posekit.edit(arm, "drives.shoulder.address", 513)


def test_a_saved_prop_is_read_back_equal(tmp_path: Path, every_key: posekit.Prop) -> None:
    posekit.save(every_key, tmp_path / "copy")
    assert posekit.load(tmp_path / "copy") == every_key


def test_a_write_that_fails_leaves_the_old_file_and_no_litter(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = tmp_path / "prop.toml"
    place.write_bytes(b"old")

    def fail(source: str, target: str) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", fail)
    with pytest.raises(posekit.PosekitError, match="No space left"):
        write_whole(place, b"new")
    assert place.read_bytes() == b"old"
    assert [file.name for file in tmp_path.iterdir()] == ["prop.toml"]


@pytest.mark.native  # the file system of a page gives no umask
def test_a_file_written_anew_keeps_who_may_read_it_and_a_new_one_is_an_ordinary_file(tmp_path: Path) -> None:
    kept, new, plain = (tmp_path / name for name in ("kept", "new", "plain"))
    kept.write_bytes(b"old")
    kept.chmod(0o640)
    plain.write_bytes(b"")
    write_whole(kept, b"x")
    write_whole(new, b"x")
    assert kept.stat().st_mode & 0o777 == 0o640
    assert new.stat().st_mode == plain.stat().st_mode


def test_a_table_is_made_inside_braces_where_its_drive_stands_in_braces(arm_text: str) -> None:
    head, _, _ = arm_text.partition("[drives.shoulder]")
    inline = 'drives = {d = {servo = "standard", joint = "shoulder", address = 1}}\n'
    prop = posekit.read({"prop.toml": (inline + head).encode()})
    edited = posekit.edit(prop, "drives.d.pulse.low", 1200)
    assert edited.drives[0].pulse.low == 1200
    assert edited.text.endswith(head)


@pytest.mark.parametrize("path", ["name", "links.base.shapes[0].colour"])
def test_a_sign_that_is_no_text_is_refused(arm: posekit.Prop, path: str) -> None:
    with pytest.raises(posekit.PosekitError, match="cannot be written as text"):
        posekit.edit(arm, path, "owl \ud800")


@pytest.mark.native  # the file system in memory takes names of any length
@pytest.mark.parametrize("name", ["a\0b", "a" * 300])
def test_a_name_that_no_file_can_have_cannot_be_written(tmp_path: Path, name: str) -> None:
    with pytest.raises(posekit.PosekitError, match="cannot be written"):
        write_whole(tmp_path / name, b"x")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.native
def test_a_place_where_nothing_may_be_written_is_told_with_what_to_do(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def shut(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("posekit.prop.writer.tempfile.mkstemp", shut)
    right = r"x\.glb: cannot be written \(Permission denied\); take a place where you may write"
    with pytest.raises(posekit.PosekitError, match=right):
        write_whole(tmp_path / "x.glb", b"x")


@pytest.mark.native
def test_save_makes_its_folder_but_none_around_it_and_writes_nothing_outside(
    tmp_path: Path, arm: posekit.Prop
) -> None:
    posekit.save(arm, tmp_path / "new")
    assert posekit.load(tmp_path / "new").name == arm.name
    with pytest.raises(posekit.PosekitError, match="make its folder first"):
        posekit.save(arm, tmp_path / "mistyped" / "new")
    for path in ("../out.csv", "/out.csv", "C:out.csv", "looks\\..\\..\\out.csv", "nul"):
        with pytest.raises(posekit.PosekitError, match=r"leads out of its folder|cannot be a file name"):
            posekit.save(replace(arm, files={path: b"x"}), tmp_path / "new")
    assert sorted(place.name for place in tmp_path.iterdir()) == ["new"]


@pytest.mark.native
@pytest.mark.skipif(sys.platform == "win32", reason="links and pipes of POSIX")
def test_save_follows_no_link_out_of_its_folder_and_replaces_no_pipe(
    tmp_path: Path, arm: posekit.Prop
) -> None:
    folder, outside = tmp_path / "prop", tmp_path / "outside"
    folder.mkdir()
    outside.mkdir()
    (folder / "looks").symlink_to(outside)
    with pytest.raises(posekit.PosekitError, match="symbolic link"):
        posekit.save(replace(arm, files={"looks/a.csv": b"x"}), folder)
    assert list(outside.iterdir()) == []
    os.mkfifo(folder / "prop.toml")
    with pytest.raises(posekit.PosekitError, match="pipe or device"):
        posekit.save(arm, folder)
    assert (folder / "prop.toml").is_fifo()
