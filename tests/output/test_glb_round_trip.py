"""What goes into a GLB comes out of it, and nothing else is taken for one."""

from __future__ import annotations

import json
import struct
from dataclasses import replace

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

import posekit
from posekit.budgets import FOLDER_FILES, GLB_BYTES, GLB_JSON_BYTES, JSON_DEPTH
from posekit.errors import PosekitError, warning
from posekit.mechanism.joints import Solved
from posekit.mechanism.pose import Pose
from posekit.output import gltf
from posekit.paths import what_is_wrong
from posekit.prop.glb import prop_files, read
from posekit.prop.model import Clearance, Drive, Link, Prop, Shape
from posekit.prop.reader import load
from posekit.shape import Box

names = st.text(max_size=8)
# Any letters and folders, of those that the path of a file can have.
paths = st.text("aé日 .-_/ABC", min_size=1, max_size=20).filter(
    lambda path: not what_is_wrong(path) and path != "prop.toml"
)
numbers = st.floats(allow_nan=False, allow_infinity=False)


@st.composite
def posed_props(draw):
    """A prop of one link with any text and files, and a pose with any numbers."""
    files = draw(st.dictionaries(paths, st.binary(max_size=40), max_size=4))
    drives = draw(st.lists(st.tuples(names, st.sampled_from([8, 16])), unique_by=lambda d: d[0], max_size=4))
    text = draw(st.text())
    link = Link(name=draw(names), shapes=(Shape(form=Box(size=(1.0, 2.0, 3.0))),))
    prop = Prop(
        name=draw(names),
        supply=None,
        servos=(),
        links=(link,),
        joints=(),
        fixed=(),
        drives=tuple(
            Drive(name=name, servo="any", address=1 + 2 * i, bits=bits)
            for i, (name, bits) in enumerate(drives)
        ),
        clearance=Clearance(),
        text=text,
        files=files,
    )
    by_drive = st.fixed_dictionaries({drive.name: numbers for drive in prop.drives})
    frame = np.eye(4)
    frame[:3, 3] = draw(st.tuples(*[st.floats(-1e4, 1e4)] * 3))
    pose = Pose(
        values={drive.name: draw(st.integers(0, drive.full_scale)) for drive in prop.drives},
        pulses=draw(by_drive),
        shafts=draw(by_drive),
        joints=draw(st.dictionaries(names, numbers, max_size=3)),
        links={link.name: frame},
        findings=tuple(warning(draw(names), draw(names), draw(st.text(max_size=30))) for _ in range(2)),
        solved=Solved(*np.zeros((3, 1, 0))),
    )
    return prop, pose


@given(posed_props())
@settings(max_examples=150, deadline=None)
def test_text_files_pose_and_snapshot_come_back_to_the_last_bit(posed):
    prop, pose = posed
    carried = read(gltf.encode(prop, pose))
    assert carried.text == prop.text
    assert dict(carried.files) == dict(prop.files)
    assert list(carried.files) == list(prop.files)
    for quantity in ("values", "pulses", "shafts", "joints"):
        assert carried.state.get(quantity, {}) == getattr(pose, quantity)
    assert {name: np.array(frame).tolist() for name, frame in pose.links.items()} == carried.state["links"]
    assert carried.state["findings"] == [finding.as_dict() for finding in pose.findings]
    slots = {
        (int(universe), int(address)): byte
        for universe, addresses in (carried.snapshot or {}).items()
        for address, byte in addresses.items()
    }
    for drive in prop.drives:
        found = slots[1, drive.address]
        if drive.bits == 16:
            found = 256 * found + slots[1, drive.address + 1]
        assert found == pose.values[drive.name]


def test_a_demo_prop_is_loaded_from_its_glb_as_it_was(demo, demo_pose, tmp_path):
    file = tmp_path / "posed.glb"
    file.write_bytes(gltf.encode(demo, demo_pose))
    assert load(file) == demo


def test_an_animated_glb_gives_the_prop_back_too(demo, wander):
    assert prop_files(gltf.animate(demo, *wander(demo, 5))) == {"prop.toml": demo.text.encode(), **demo.files}


def test_a_glb_cut_short_anywhere_is_told(crane, crane_pose):
    glb = gltf.encode(crane, crane_pose)
    for length in [*range(40), *range(40, len(glb), 997), len(glb) - 1]:
        with pytest.raises(PosekitError) as told:
            read(glb[:length], "pose.glb")
        assert str(told.value).startswith("pose.glb: ")


@given(st.data())
@settings(max_examples=200, deadline=None)
def test_a_damaged_glb_is_read_or_told_and_nothing_else(data):
    glb = bytearray(MINIMAL)
    for _ in range(data.draw(st.integers(1, 3))):
        glb[data.draw(st.integers(0, len(glb) - 1))] = data.draw(st.integers(0, 255))
    try:
        prop_files(bytes(glb))
    except PosekitError as told:
        assert told.findings[0].code == "glb-unreadable"


def packed(document, binary=b"", *, version=2, surplus=0):
    """A GLB by hand, as ISO/IEC 12113 lays it out."""
    content = json.dumps(document).encode()
    content += b" " * (-len(content) % 4)
    chunks = struct.pack("<I4s", len(content), b"JSON") + content
    if binary:
        chunks += struct.pack("<I4s", len(binary), b"BIN\0") + binary
    return struct.pack("<4sII", b"glTF", version, 12 + len(chunks) + surplus) + chunks


def carrying(**record):
    return {
        "asset": {"version": "2.0", "extras": {"posekit": {"version": 1, "prop": "format = 1", **record}}},
        "bufferViews": [{"buffer": 0, "byteOffset": 4, "byteLength": 4}, {"buffer": 0, "byteLength": 9}],
    }


FILES = [{"path": "looks/a.csv", "bufferView": 0}, {"path": "looks/empty.csv"}]
MINIMAL = packed(carrying(files=FILES), b"....abcd")


def test_the_layout_is_the_one_of_the_standard():
    assert prop_files(MINIMAL) == {"prop.toml": b"format = 1", "looks/a.csv": b"abcd", "looks/empty.csv": b""}


@pytest.mark.parametrize(
    ("glb", "said"),
    [
        (b"", "starts with b''"),
        (b"solid x\nendsolid x\n", "starts with b'soli': not a GLB"),
        (b"glTF\2\0\0", "has 7 bytes, fewer than its header: it was cut short"),
        (packed({}, version=1), "is glTF version 1"),
        (packed(carrying(), surplus=10), "cut short"),
        (packed(carrying(), surplus=-4), "has bytes after its end"),
        (packed([]), "was not written by posekit"),
        (packed({"asset": {"version": "2.0", "extras": []}}), "was not written by posekit"),
        (packed(carrying(version=99)), "as version 99; this posekit reads 1"),
        (packed(carrying(prop=5)), "damaged prop text"),
        (packed(carrying(prop="\ud800")), "damaged prop text"),
        (packed(carrying(files={})), "has a dict for its list of files"),
        (packed(carrying(files=["a"])), "damaged list of files"),
        (packed(carrying(files=[{"path": "a", "bufferView": 7}])), "damaged list of files"),
        (packed(carrying(files=[{"path": "a", "bufferView": 1}]), b"12345678"), "at bytes 0 to 9 of 8"),
        (
            packed(
                {**carrying(files=FILES[:1]), "bufferViews": [{"byteOffset": -8, "byteLength": 4}]},
                b"12345678",
            ),
            "at bytes -8 to -4 of 8",
        ),
        (packed(carrying(files=[{"path": "../a"}])), "leads out of its folder"),
        (packed(carrying(files=[{"path": "/etc/a"}])), "leads out of its folder"),
        (packed(carrying(files=[{"path": "."}])), "a dot in its path"),
        (packed(carrying(state=[])), "has a state that is a list"),
    ],
)
def test_what_is_no_glb_of_ours_is_told(glb, said):
    with pytest.raises(PosekitError) as told:
        prop_files(glb, "x.glb")
    assert said in str(told.value)
    assert told.value.findings[0].file == "x.glb"


def test_a_glb_of_another_program_is_told():
    with pytest.raises(PosekitError, match="was not written by posekit"):
        read(trimesh.creation.box().export(file_type="glb"))


def test_empty_files_and_equal_files_are_carried_by_a_valid_glb(crane, crane_pose, validate):
    prop = replace(crane, files={"looks/empty.csv": b"", "meshes/a.stl": b"\0", "meshes/b.stl": b"\0"})
    glb = gltf.encode(prop, crane_pose)
    assert dict(read(glb).files) == prop.files
    assert validate(glb) == []


def test_a_prop_without_drives_comes_back_from_its_glb(make_prop, statue_text: str) -> None:
    """Its pose has no values, and an empty table is not written."""
    prop = make_prop(statue_text)
    again = posekit.read(prop_files(gltf.encode(prop, posekit.pose(prop, posekit.Snapshot({})))))
    assert again.text == prop.text


@pytest.mark.parametrize(
    ("glb", "said"),
    [
        (packed(carrying(files=[{"path": "a"}, {"path": "a"}])), "lists the file 'a' twice"),
        (
            packed(carrying(files=[{"path": f"{n}"} for n in range(FOLDER_FILES + 1)])),
            f"{FOLDER_FILES} at most",
        ),
        (packed(carrying(files=[{"path": "con.csv"}])), "Windows takes 'con.csv' for a device"),
        (packed(carrying(files=[{"path": 5}])), "is a int where the path of a file is needed"),
        (packed(carrying(state={"values": {"jaw": "x"}})), "damaged pose"),
        (packed(carrying(state={"values": {"jaw": 1e999}})), "Infinity is not a number"),
        (packed(carrying(note="x" * GLB_JSON_BYTES)), "8.0 MiB at most"),
        (packed(carrying(note=json.loads("[" * 40 + "]" * 40))), f"more than {JSON_DEPTH} deep"),
        (bytes(GLB_BYTES + 1), "a GLB may have"),
    ],
    ids=range(9),
)
def test_what_a_glb_of_others_may_hold_is_bounded(glb, said):
    with pytest.raises(PosekitError) as told:
        prop_files(glb, "x.glb")
    assert said in str(told.value)


def test_one_file_listed_many_times_over_does_not_multiply_what_is_read():
    """Forty names for the same eight megabytes would be more than a folder may hold."""
    document = carrying(files=[{"path": f"{n}", "bufferView": 0} for n in range(40)])
    document["bufferViews"][0] = {"byteLength": 8 << 20}
    with pytest.raises(PosekitError, match="carries files of more than"):
        prop_files(packed(document, bytes(8 << 20)))
