"""The reader tells every problem at once, with file, line, key path, what was found and what is right."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

import posekit
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
    read_bytes = Path.read_bytes

    def refuse_looks(place: Path) -> bytes:
        if place.parent.name == "looks":
            raise PermissionError(13, "Permission denied", str(place))  # as the system does to all but root
        return read_bytes(place)

    monkeypatch.setattr(Path, "read_bytes", refuse_looks)
    with pytest.raises(posekit.PosekitError) as refused:
        posekit.load(tmp_path)
    (finding,) = refused.value.findings
    assert finding.file == str(tmp_path / "looks" / "up.csv")
    assert finding.message == "cannot be read (Permission denied); it belongs to the prop"
