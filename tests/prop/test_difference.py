"""What is shown of a difference, and files written over others only where these still stand."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import posekit
from posekit import budgets
from posekit.bridge.saving import Saving
from posekit.bridge.workbench import Workbench
from posekit.prop import writer
from posekit.prop.difference import Line, differences, digest

OLD = b"a = 1\nb = 2\nc = 3\nd = 4\ne = 5\nf = 6\ng = 7\nh = 8\n"


def test_a_changed_line_is_told_with_its_number_and_the_lines_around_it() -> None:
    (found,) = differences({"prop.toml": OLD}, {"prop.toml": OLD.replace(b"f = 6", b"f = 60")})
    assert (found.kind, found.come, found.go, found.words) == ("changed", 1, 1, "")
    assert found.parts == (
        (
            Line(" ", 3, "c = 3"),
            Line(" ", 4, "d = 4"),
            Line(" ", 5, "e = 5"),
            Line("-", 6, "f = 6"),
            Line("+", 6, "f = 60"),
            Line(" ", 7, "g = 7"),
            Line(" ", 8, "h = 8"),
        ),
    )


def test_what_stays_is_left_out_and_the_prop_file_comes_first() -> None:
    old = {"prop.toml": OLD, "looks/a.csv": b"x\n", "looks/b.csv": b"y\n"}
    new = {"looks/b.csv": None, "looks/a.csv": b"x\n", "looks/c.csv": b"z\n", "prop.toml": b""}
    told = [(each.path, each.kind, each.come, each.go) for each in differences(old, new)]
    assert told == [
        ("prop.toml", "changed", 0, 8),
        ("looks/b.csv", "removed", 0, 1),
        ("looks/c.csv", "new", 1, 0),
    ]


def test_a_mesh_is_told_by_its_size_and_a_text_of_others_does_nothing_but_stand_there() -> None:
    mesh, look = differences(
        {"meshes/a.stl": b"solid\n"}, {"meshes/a.stl": b"s", "looks/a.csv": b"\x1b[2J\xe2\x80\xae\n"}
    )[::-1]
    assert (mesh.parts, mesh.words) == ((), "6 bytes before, 1 bytes now")
    assert look.parts == ((Line("+", 1, r"\x1b[2J\u202e"),),)


def test_a_difference_of_more_lines_than_can_be_read_is_counted_and_not_compared() -> None:
    most = budgets.DIFFERENCE_LINES
    old = b"top\n" + b"".join(b"%d\n" % n for n in range(most)) + b"end\n"
    (found,) = differences({"prop.toml": old}, {"prop.toml": b"top\nx\nend\n"})
    assert (found.parts, found.come, found.go) == ((), 1, most)
    assert f"more than {most} lines" in found.words


@given(st.lists(st.sampled_from("abc\n"), max_size=40), st.lists(st.sampled_from("abc\n"), max_size=40))
def test_lines_that_stay_and_come_are_the_new_file_and_those_that_stay_and_go_the_old_one(
    old: list[str], new: list[str]
) -> None:
    before, after = "\n".join(old), "\n".join(new)
    for found in differences({"prop.toml": before.encode()}, {"prop.toml": after.encode()}):
        lines = [line for part in found.parts for line in part]
        for mark, text in (("-", before), ("+", after)):
            numbered = dict(enumerate(text.splitlines(), 1))
            assert all(numbered[line.number] == line.text for line in lines if line.mark == mark)
        kept_old = len(before.splitlines()) - found.go
        assert kept_old == len(after.splitlines()) - found.come


def on_disk(folder: Path) -> dict[str, bytes]:
    return {
        place.relative_to(folder).as_posix(): place.read_bytes()
        for place in folder.rglob("*")
        if place.is_file()
    }


@pytest.fixture
def folder(tmp_path: Path, arm: posekit.Prop) -> Path:
    """A prop folder with a look."""
    writer.save(arm, tmp_path / "arm")
    (tmp_path / "arm" / "looks").mkdir()
    (tmp_path / "arm" / "looks" / "up.csv").write_bytes(b"up")
    return tmp_path / "arm"


def test_files_come_in_the_place_of_those_they_were_shown_against(folder: Path) -> None:
    before = on_disk(folder)
    os.chmod(folder / "prop.toml", 0o640)
    over = {"prop.toml": digest(before["prop.toml"]), "looks/up.csv": digest(b"up"), "meshes/new/a.stl": None}
    writer.save_over(folder, {"prop.toml": b"new", "looks/up.csv": None, "meshes/new/a.stl": b"mesh"}, over)
    assert on_disk(folder) == {"prop.toml": b"new", "meshes/new/a.stl": b"mesh"}
    if sys.platform != "win32":
        assert (folder / "prop.toml").stat().st_mode & 0o777 == 0o640


@pytest.mark.parametrize("what", ["changed", "there by now", "gone"])
def test_one_file_that_changed_on_disk_leaves_all_as_they_are(folder: Path, what: str) -> None:
    over: dict[str, str | None] = {
        "prop.toml": digest(on_disk(folder)["prop.toml"]),
        "looks/up.csv": digest(b"up"),
    }
    files: dict[str, bytes | None] = {"prop.toml": b"new", "looks/up.csv": b"new"}
    if what == "changed":
        (folder / "looks" / "up.csv").write_bytes(b"UP")
    elif what == "gone":
        (folder / "looks" / "up.csv").unlink()
    else:
        files["looks/new.csv"], over["looks/new.csv"] = b"mine", None
        (folder / "looks" / "new.csv").write_bytes(b"theirs")
    before = on_disk(folder)
    with pytest.raises(posekit.PosekitError, match="has changed on disk meanwhile"):
        writer.save_over(folder, files, over)
    assert on_disk(folder) == before


def test_a_file_that_cannot_be_written_leaves_no_half_and_tells_what_was_written_before_it(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = on_disk(folder)
    real = os.replace

    def full(source: str, target: Path) -> None:
        if Path(target).name == "prop.toml":
            raise OSError(28, "No space left on device")
        real(source, target)

    monkeypatch.setattr(os, "replace", full)
    over = {"prop.toml": digest(before["prop.toml"]), "looks/up.csv": digest(b"up")}
    with pytest.raises(posekit.PosekitError, match=r"No space left.*written before it: looks/up.csv"):
        writer.save_over(folder, {"prop.toml": b"new", "looks/up.csv": b"new"}, over)
    assert on_disk(folder) == {**before, "looks/up.csv": b"new"}


@pytest.mark.native
@pytest.mark.skipif(sys.platform == "win32", reason="links and pipes of POSIX")
def test_nothing_is_written_through_a_link_that_leads_out_or_over_a_pipe(
    folder: Path, tmp_path: Path
) -> None:
    outside = tmp_path / "outside"
    outside.mkdir()
    (outside / "a.csv").write_bytes(b"theirs")
    (folder / "meshes").symlink_to(outside)
    (folder / "looks" / "out.csv").symlink_to(outside / "a.csv")
    os.mkfifo(folder / "looks" / "pipe.csv")
    for path in (
        "meshes/a.csv",
        "meshes/new.csv",
        "looks/out.csv",
        "looks/pipe.csv",
        "../a.csv",
        "/a.csv",
        "a\\b",
    ):
        with pytest.raises(posekit.PosekitError):
            writer.save_over(folder, {path: b"mine"}, {path: digest(b"theirs")})
        with pytest.raises(posekit.PosekitError):
            writer.save_over(folder, {path: b"mine"}, {path: None})
    assert on_disk(outside) == {"a.csv": b"theirs"}


def test_a_name_that_changes_in_capital_letters_alone_keeps_its_file_on_any_disk(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where these do not count, as on the disk that is made of small letters here, both names are one file."""
    rename: dict[str, bytes | None] = {"looks/up.csv": None, "looks/Up.csv": b"new"}
    old = (folder / "looks" / "up.csv").read_bytes()
    with pytest.raises(posekit.PosekitError, match="changed on disk"):
        writer.save_over(folder, rename, {"looks/up.csv": digest(b"another"), "looks/Up.csv": None})
    writer.save_over(folder, rename, {"looks/up.csv": digest(old), "looks/Up.csv": None})
    assert sorted(path.name for path in (folder / "looks").iterdir()) == ["Up.csv"]
    (folder / "looks" / "Up.csv").rename(folder / "looks" / "up.csv")
    monkeypatch.setattr(writer, "file_inside", lambda top, path: Path(top) / path.lower())
    writer.save_over(folder, rename, {"looks/up.csv": digest(b"new"), "looks/Up.csv": None})
    assert (folder / "looks" / "up.csv").read_bytes() == b"new"
    with pytest.raises(posekit.PosekitError, match="same file on systems that ignore capital letters"):
        writer.save_over(folder, {"looks/up.csv": b"a", "looks/Up.csv": b"b"}, {})


def test_a_new_file_that_some_system_takes_for_another_in_the_folder_is_refused_before_it_is_shown() -> None:
    there = ("prop.toml", "looks/Smile.csv")
    with pytest.raises(posekit.PosekitError, match="same file on systems that ignore capital letters"):
        Saving(Workbench()).differences({}, {"looks/smile.csv": b"1"}, there)
    (new, gone) = Saving(Workbench()).differences(
        {"looks/Smile.csv": b"1"}, {"looks/Smile.csv": None, "looks/smile.csv": b"1"}, there
    )
    assert {new.kind, gone.kind} == {"new", "removed"}
