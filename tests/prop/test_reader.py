"""The reader tells every problem at once, with file, line, key path, what was found and what is right."""

from __future__ import annotations

import os
import sys
from dataclasses import replace
from pathlib import Path

import pytest

import posekit
from posekit.budgets import (
    FINDINGS_TOLD,
    FOLDER_BYTES,
    FOLDER_FILES,
    KEYS,
    NAME_LETTERS,
    PARTS,
    SHAPES,
    TOML_BYTES,
    TOML_DEPTH,
    WHOLE_NUMBER,
)
from posekit.linkage import LINKAGES

CASES = Path(__file__).parent.parent / "cases"
INVALID = sorted((CASES / "invalid").glob("*.toml"))


@pytest.mark.parametrize("case", INVALID, ids=lambda case: case.stem)
def test_a_broken_prop_file_is_told_with_code_subject_and_line(case: Path) -> None:
    text = case.read_text()
    expected = [tuple(line.split()[2:]) for line in text.splitlines() if line.startswith("# expect:")]
    with pytest.raises(posekit.PosekitError) as refused:
        posekit.read({"prop.toml": text.encode()}, "models/x/prop.toml")
    told = [(f.code, f.subject or "-", str(f.line)) for f in refused.value.findings]
    assert sorted(told) == sorted(expected)
    for finding in refused.value.findings:
        assert finding.level == "error"
        assert finding.file == "models/x/prop.toml"
        assert finding.message


def test_a_message_names_file_line_key_what_was_found_and_what_is_right(arm_text: str) -> None:
    text = arm_text.replace("address = 1", "address = 600")
    with pytest.raises(posekit.PosekitError) as refused:
        posekit.read({"prop.toml": text.encode()}, "models/owl/prop.toml")
    assert str(refused.value) == "models/owl/prop.toml:29: drives.shoulder.address = 600: use 512 or less"


def test_a_misspelt_key_is_answered_with_the_nearest_one(arm_text: str) -> None:
    with pytest.raises(posekit.PosekitError, match="did you mean 'travel'"):
        posekit.read({"prop.toml": arm_text.replace("travel", "travle").encode()})


def test_a_prop_that_uses_every_key_is_read_with_every_linkage(every_key: posekit.Prop) -> None:
    kinds = {type(drive.linkage) for drive in every_key.drives}
    assert kinds == set(LINKAGES.values())
    assert [joint.name for joint in every_key.fixed] == ["badge"]
    assert "badge" not in [joint.name for joint in every_key.joints]
    assert every_key.clearance.ignore == (("neck", "jaw"),)
    assert every_key.supply is not None and every_key.supply.current == 10.0


def test_names_keep_the_order_of_the_file(every_key: posekit.Prop) -> None:
    assert [d.name for d in every_key.drives] == [
        *("neck_a", "neck_b", "jaw", "chest", "wing", "ear"),
        *("lantern", "lantern_middle", "lantern_inner"),
    ]
    assert [link.name for link in every_key.links][:3] == ["body", "neck", "head"]


def test_a_folder_its_file_and_memory_give_the_same_prop(tmp_path: Path, arm_text: str) -> None:
    (tmp_path / "prop.toml").write_text(arm_text)
    (tmp_path / "looks").mkdir()
    (tmp_path / "looks" / "up.csv").write_text("universe,address,value\n1,1,255\n")
    from_folder = posekit.load(tmp_path)
    assert from_folder == posekit.load(tmp_path / "prop.toml")
    assert from_folder == posekit.read({"prop.toml": arm_text.encode(), **from_folder.files})
    assert list(from_folder.files) == ["looks/up.csv"]


def test_a_place_without_a_prop_says_what_to_give(tmp_path: Path) -> None:
    with pytest.raises(posekit.PosekitError, match=r"give a prop folder, its prop\.toml or a GLB"):
        posekit.load(tmp_path / "nothing")


def test_text_that_is_not_utf8_is_told_with_its_line() -> None:
    with pytest.raises(posekit.PosekitError) as refused:
        posekit.read({"prop.toml": b'format = 1\nname = "\xff"\n'})
    assert (refused.value.findings[0].code, refused.value.findings[0].line) == ("not-utf8", 2)


def test_a_mark_before_the_text_and_other_line_ends_change_nothing(arm_text: str) -> None:
    marked = b"\xef\xbb\xbf" + arm_text.replace("\n", "\r\n").encode()
    read = posekit.read({"prop.toml": marked})
    assert replace(read, text=arm_text) == posekit.read({"prop.toml": arm_text.encode()})
    with pytest.raises(posekit.PosekitError, match=r"^prop\.toml:29: drives\.shoulder\.address = 600"):
        posekit.read({"prop.toml": marked.replace(b"address = 1", b"address = 600")})


@pytest.mark.parametrize(
    ("right", "wrong", "message"),
    [
        ("[[links.arm.shapes]]", "[[links.arm.shape]]", "did you mean 'shapes'"),
        ("address = 1", "address = 1\nlinkge = {type = 'direct'}", "did you mean 'linkage'"),
        ("format = 1\n", "", "format: is missing: write format = 1"),
        ('servo = "standard"', 'servo = "standart"', "did you mean 'standard'"),
    ],
)
def test_a_message_says_what_is_right(arm_text: str, right: str, wrong: str, message: str) -> None:
    assert right in arm_text
    with pytest.raises(posekit.PosekitError, match=message):
        posekit.read({"prop.toml": arm_text.replace(right, wrong, 1).encode()})


def test_an_axis_of_any_length_is_a_direction(arm: posekit.Prop, arm_text: str) -> None:
    long = posekit.read({"prop.toml": arm_text.replace("axis = [0, 1, 0]", "axis = [0, 1e100, 0]").encode()})
    assert posekit.forward(long, [[30.0]]).tolist() == posekit.forward(arm, [[30.0]]).tolist()


def test_hidden_files_do_not_belong_to_a_prop(tmp_path: Path, arm_text: str) -> None:
    (tmp_path / "prop.toml").write_text(arm_text)
    (tmp_path / "looks").mkdir()
    (tmp_path / "looks" / ".up.csv.swp").write_bytes(b"\0")
    assert posekit.load(tmp_path).files == {}


@pytest.mark.parametrize("name", ["a\0b", "a" * 300, "a/" * 3000, "a\0b.glb"])
def test_what_cannot_be_the_path_of_a_file_is_unreadable(name: str) -> None:
    with pytest.raises(posekit.PosekitError, match=r"cannot be read .*; give a prop folder"):
        posekit.load(name)


def test_an_unreadable_file_beside_the_prop_is_told_by_its_own_name(
    tmp_path: Path, arm_text: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "prop.toml").write_text(arm_text)
    (tmp_path / "looks").mkdir()
    (tmp_path / "looks" / "up.csv").write_text("universe,address,value\n1,1,255\n")
    system_open = os.open

    def refuse_looks(place: str | Path, *flags: int, **more: int) -> int:
        if Path(place).parent.name == "looks":
            raise PermissionError(13, "Permission denied", str(place))  # as the system does to all but root
        return system_open(place, *flags, **more)

    monkeypatch.setattr(os, "open", refuse_looks)
    with pytest.raises(posekit.PosekitError) as refused:
        posekit.load(tmp_path)
    (finding,) = refused.value.findings
    assert finding.file == str(tmp_path / "looks" / "up.csv")
    assert finding.message == "cannot be read (Permission denied); it belongs to the prop"


def test_a_folder_beside_the_prop_that_cannot_be_read_is_told_and_not_taken_for_an_empty_one(
    tmp_path: Path, arm_text: str
) -> None:
    (tmp_path / "prop.toml").write_text(arm_text)
    (tmp_path / "looks").write_text("a file where a folder was due")
    with pytest.raises(posekit.PosekitError, match=r"looks.*cannot be read .*; it belongs to the prop"):
        posekit.load(tmp_path)


def filled(kind: str, count: int, arm_text: str) -> str:
    """The arm with this many more tables of a kind."""
    return arm_text + "".join(f"[{kind}.x{number}]\n" for number in range(count))


@pytest.mark.native  # what is over a budget is refused by the same lines in every Python
@pytest.mark.timeout(60)
@pytest.mark.parametrize("kind", ["servos", "links", "joints", "drives"])
def test_more_parts_than_the_budget_are_told_by_their_number_and_before_they_cost_time(
    kind: str, arm_text: str
) -> None:
    with pytest.raises(posekit.PosekitError) as refused:
        posekit.read({"prop.toml": filled(kind, 10_000, arm_text).encode()})
    (finding,) = refused.value.findings
    assert (finding.code, finding.subject) == ("too-many", kind)
    assert f"{PARTS} {kind} at most" in finding.message


@pytest.mark.native  # likewise
def test_a_prop_may_have_shapes_files_and_bytes_within_the_budget_only(arm_text: str) -> None:
    shape = "[[links.x.shapes]]\nsphere = {radius = 1}\n"
    long = arm_text + "[links.x]\n" + shape * (SHAPES + 1)
    looks = {f"looks/{number}.csv": b"" for number in range(FOLDER_FILES)}
    large = {f"meshes/{number}.stl": bytes(FOLDER_BYTES // 2) for number in range(2)}
    for text, files, said in (
        (long, {}, f"{SHAPES} at most"),
        (arm_text, looks, f"{FOLDER_FILES} at most"),
        (arm_text, large, "128.0 MiB at most"),
        (arm_text + "# " + "x" * TOML_BYTES, {}, "1.0 MiB at most"),
        (arm_text + "x = [" + "1," * (KEYS + 1) + "]", {}, f"more than {KEYS} values"),
        (arm_text + "x = " + "[" * TOML_DEPTH + "]" * TOML_DEPTH, {}, f"{TOML_DEPTH} tables deep"),
        (arm_text + "x" + ".x" * 100_000 + " = 1", {}, f"{TOML_DEPTH} parts"),
        (arm_text + "x = " + "1" * 4000, {}, f"use {WHOLE_NUMBER} or less"),
        (arm_text + "x = " + "1" * 400_000, {}, "is not TOML"),
    ):
        with pytest.raises(posekit.PosekitError, match=said):
            posekit.read({"prop.toml": text.encode(), **files})


@pytest.mark.parametrize("path", ["/etc/passwd", "../x", "looks/../../x", "C:\\x", "nul", "a\\b"])
def test_a_file_beside_the_prop_with_a_path_that_leaves_the_folder_is_refused(
    path: str, arm_text: str
) -> None:
    with pytest.raises(posekit.PosekitError, match=r"leads out of its folder|cannot be a file name"):
        posekit.read({"prop.toml": arm_text.encode(), path: b""})


@pytest.mark.native  # likewise
def test_ten_thousand_unknown_keys_and_names_are_told_in_bounded_words(arm_text: str) -> None:
    unknown = "".join(f"speeed{number} = 1\n" for number in range(40_000))
    with pytest.raises(posekit.PosekitError) as refused:
        posekit.read({"prop.toml": (arm_text + unknown).encode()})
    assert len(refused.value.findings) == FINDINGS_TOLD + 1
    assert len(str(refused.value)) < 100_000


@pytest.mark.skipif(sys.platform == "win32", reason="links of POSIX")
def test_a_linked_look_does_not_carry_its_target_out_in_a_prop(tmp_path: Path, arm_text: str) -> None:
    (tmp_path / "secret").write_text("secret")
    folder = tmp_path / "prop"
    (folder / "looks").mkdir(parents=True)
    (folder / "prop.toml").write_text(arm_text)
    (folder / "looks" / "a.csv").symlink_to(tmp_path / "secret")
    with pytest.raises(posekit.PosekitError, match="symbolic link"):
        posekit.load(folder)
    (folder / "looks" / "a.csv").unlink()
    (folder / "looks").rmdir()
    (folder / "looks").symlink_to(tmp_path)
    with pytest.raises(posekit.PosekitError, match="symbolic link"):
        posekit.load(folder)
    (folder / "looks").unlink()
    (tmp_path / "real.toml").write_text(arm_text)
    (folder / "prop.toml").unlink()
    (folder / "prop.toml").symlink_to(tmp_path / "real.toml")
    with pytest.raises(posekit.PosekitError, match="symbolic link"):
        posekit.load(folder)


@pytest.mark.native
@pytest.mark.timeout(20)
@pytest.mark.skipif(sys.platform == "win32", reason="pipes of POSIX")
def test_a_pipe_for_a_prop_a_look_or_a_glb_is_refused_at_once(tmp_path: Path, arm_text: str) -> None:
    (tmp_path / "looks").mkdir()
    for name in ("prop.toml", "a.glb", "looks/a.csv"):
        os.mkfifo(tmp_path / name)
    for name in ("", "a.glb"):
        with pytest.raises(posekit.PosekitError, match="not an ordinary file"):
            posekit.load(tmp_path / name)
    (tmp_path / "prop.toml").unlink()
    (tmp_path / "prop.toml").write_text(arm_text)
    with pytest.raises(posekit.PosekitError, match=r"a\.csv: cannot be read \(not an ordinary file"):
        posekit.load(tmp_path)
    for device in ("/dev/zero", "/dev/stdin"):
        with pytest.raises(posekit.PosekitError, match=r"ordinary file|cannot be read"):
            posekit.Snapshot.read(device)


def test_a_name_that_no_table_can_show_is_told(arm_text: str) -> None:
    for kind in ("servos", "links", "joints", "drives"):
        with pytest.raises(posekit.PosekitError, match=f"a name of {NAME_LETTERS + 1} letters"):
            posekit.read({"prop.toml": f"{arm_text}[{kind}.{'x' * (NAME_LETTERS + 1)}]\n".encode()})
