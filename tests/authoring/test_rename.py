"""A rename follows everywhere, and to and fro gives every letter again."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import posekit
from posekit.authoring.parts import KINDS, Kind, names_of
from posekit.authoring.rename import rename, rename_file
from posekit.stream.reader import read_show
from tests.conftest import CASES, DEMO_PROPS, ROOT, demo_prop

FILES = [
    *sorted((CASES / "valid").glob("*.toml")),
    *(ROOT / "models" / name / "prop.toml" for name in DEMO_PROPS),
]


@pytest.mark.parametrize("file", FILES, ids=lambda file: "/".join(file.parts[-2:]))
def test_to_and_fro_gives_the_text_again_and_on_the_way_nothing_has_the_old_name(file: Path) -> None:
    prop = posekit.load(file) if file.name == "prop.toml" else posekit.read({"prop.toml": file.read_bytes()})
    kinds: tuple[Kind, ...] = KINDS
    for kind in kinds:
        for name in names_of(prop, kind)[:6]:
            renamed = rename(prop, kind, name, "else_where")
            assert names_of(renamed, kind) == [
                "else_where" if each == name else each for each in names_of(prop, kind)
            ]
            changed = zip(prop.text.splitlines(), renamed.text.splitlines(), strict=True)
            assert all(old == new or re.sub(r"\bwhere\b", name, new.replace("else_where", "where")) == old
                       for old, new in changed)  # fmt: skip
            assert rename(renamed, kind, "else_where", name) == prop


ODD = """\
format = 1
name = "Odd"
servos = {s = {travel = 90}, 't.u' = {}}
drives.d = {servo = "s", joint = 'the joint', address = 1, pulse.low = 1000}
[links]
"a b".mass = 1 # a b
c.shapes = [{box = [1, 2, 3]}]
[joints."the joint"]
type = "revolute"
parent = "a b"
child = 'c'
[drives.e]
servo = 't.u'
address = 2
[drives.f]
servo = 't.u'
linkage = {type = "differential", partner = "e", sum = "j2", difference = 'j3'}
address = 3
[links.x]
[links.y]
[joints.j2]
type = "revolute"
parent = "c"
child = "x"
[joints.j3]
type = "revolute"
parent = "x"
child = "y"
[links.z]
[joints.j4]
type = "revolute"
parent = "y"
child = "z"
follow = {joint = "the joint"}
[clearance]
ignore = [
  ['c', "x"], # c
]
"""


FOLLOWED = {
    ("links", "c", "see"): [
        "see.shapes = [{box = [1, 2, 3]}]",
        "child = 'see'",
        'parent = "see"',
        "  ['see', \"x\"], # c",
    ],
    ("links", "a b", "ab"): ["ab.mass = 1 # a b", 'parent = "ab"'],
    ("joints", "the joint", "hinge.1"): [
        "drives.d = {servo = \"s\", joint = 'hinge.1', address = 1, pulse.low = 1000}",
        '[joints."hinge.1"]',
        'follow = {joint = "hinge.1"}',
    ],
    ("drives", "e", "g"): [
        "[drives.g]",
        'linkage = {type = "differential", partner = "g", sum = "j2", difference = \'j3\'}',
    ],
    ("servos", "t.u", "tu"): ["servos = {s = {travel = 90}, tu = {}}", "servo = 'tu'", "servo = 'tu'"],
}


@pytest.mark.parametrize(("names", "lines"), FOLLOWED.items(), ids=lambda value: str(value[0]))
def test_every_way_to_write_a_table_is_followed(names: tuple[Kind, str, str], lines: list[str]) -> None:
    prop = posekit.read({"prop.toml": ODD.encode()})
    kind, name, new = names
    renamed = rename(prop, kind, name, new)
    pairs = zip(ODD.splitlines(), renamed.text.splitlines(), strict=True)
    assert [after for before, after in pairs if before != after] == lines
    assert new in names_of(renamed, kind) and name not in names_of(renamed, kind)


def test_a_drive_is_renamed_in_the_cues_of_its_shows(arm_text: str) -> None:
    show = b"""\
format = 1 # shoulder
[[cues]]
name = "shoulder"
values = {shoulder = 200} # of the shoulder
[[cues]]
name = "b"
values.shoulder = 3
"""
    prop = posekit.read({"prop.toml": arm_text.encode(), "shows/a.toml": show, "shows/faulty.toml": b"="})
    renamed = rename(prop, "drives", "shoulder", "upper")
    new = show.replace(b"{shoulder =", b"{upper =").replace(b"values.shoulder", b"values.upper")
    assert renamed.files == {"shows/a.toml": new, "shows/faulty.toml": b"="}
    assert rename(renamed, "drives", "upper", "shoulder") == prop


def test_a_look_and_a_mesh_keep_their_shows_and_shapes() -> None:
    prop = demo_prop("bellows")
    renamed = rename_file(prop, "looks/curious.csv", "looks/asks.csv")
    assert b'look = "looks/asks.csv"' in renamed.files["shows/breathing.toml"]
    place = "shows/breathing.toml"
    before, after = (read_show(each, each.files[place], place) for each in (prop, renamed))
    assert (before.values == after.values).all()
    meshed = rename_file(prop, "meshes/head.ply", "meshes/skull.ply")
    assert {"meshes/skull.ply", "meshes/skull.pieces.json"} < set(meshed.files)
    assert not {"meshes/head.ply", "meshes/head.pieces.json"} & set(meshed.files)
    assert meshed.text == prop.text.replace("meshes/head.", "meshes/skull.")
    with pytest.raises(posekit.PosekitError, match="already exists"):
        rename_file(prop, "meshes/head.ply", "meshes/DOME.ply")
    with pytest.raises(posekit.PosekitError, match=r"end in \.ply, by which it is read"):
        rename_file(prop, "meshes/head.ply", "meshes/head.stl")


def test_a_name_that_is_taken_is_refused(arm: posekit.Prop) -> None:
    with pytest.raises(posekit.PosekitError, match="there is a part of that name already"):
        rename(arm, "links", "arm", "base")
    with pytest.raises(posekit.PosekitError, match="did you mean 'shoulder'"):
        rename(arm, "drives", "shoulde", "x")
