"""After a joint became another kind, or another joint is followed or driven in its place, no number stands whose unit
has changed, unless that is said: at every door."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

import posekit
from posekit.cli import main
from posekit.linkage import Differential
from posekit.prop.model import Follow, Joint
from posekit.toml.places import parse
from tests.bridge.test_workbench import Page

BASE = """\
format = 1
name = "Kinds"
servos.mini = {travel = 180}
links.base.mass = 100
"""
# A geared joint, one that follows it, one that follows that the other way; one that sits on its shaft; two of a
# differential; a slide; a turn that nothing moves; one that was fixed by hand and still has figures.
JOINTS = {
    "geared": 'type = "revolute"\nstops = [-20, 30]\ntorque = 0.25',
    "led": 'type = "revolute"\nstops = [-90, 90]\ntorque = 0.5\n'
    'follow = {joint = "geared", ratio = 2.5, offset = 4}',
    "like": 'type = "prismatic"\nfollow = {joint = "geared"}',
    "sits": 'type = "revolute"',
    "sum": 'type = "revolute"\nstops = [-45, 45]',
    "difference": 'type = "revolute"\ntorque = 0.125',
    "slides": 'type = "prismatic"\nstops = [-5, 6]\ntorque = 7',
    "racked": 'type = "prismatic"\nstops = [-40, 40]',
    "turns": 'type = "revolute"',
    "by_hand": 'type = "fixed"\nstops = [1, 2]\ntorque = 3',
}
DRIVES = {
    "gear": 'joint = "geared"\nlinkage = {type = "gear", ratio = 2, offset = 5}',
    "horn": 'joint = "sits"\nlinkage = {type = "direct", offset = 1.5}',
    "left": 'linkage = {type = "differential", partner = "right", sum = "sum", difference = "difference"}',
    "right": "",
    "rack": 'joint = "racked"',
}
TEXT = "\n".join(
    [
        BASE,
        *(
            f'[links.{name}]\nmass = 10\n[joints.{name}]\nparent = "base"\nchild = "{name}"\n{keys}\n'
            for name, keys in JOINTS.items()
        ),
        *(
            f'[drives.{name}]\nservo = "mini"\naddress = {at + 1}\n{keys}\n'
            for at, (name, keys) in enumerate(DRIVES.items())
        ),
    ]
)
KINDS = ("revolute", "prismatic", "fixed")
Told = list[Mapping[str, Any]]
Door = Callable[
    [Path, str, str], tuple[str, Told]
]  # a folder, a joint, its type: the text that comes, what is said


def by_command(*words: str) -> Door:
    def door(folder: Path, joint: str, kind: str) -> tuple[str, Told]:
        spelled = [word.format(joint=joint, kind=kind) for word in words]
        done = CliRunner().invoke(main, ["edit", str(folder), *spelled, "--write", "--json"])
        found = json.loads(done.stdout)
        assert done.exit_code == 0, found
        return (folder / "prop.toml").read_text(), found["findings"]

    return door


def by_page(method: str, **params: Any) -> Door:
    def door(folder: Path, joint: str, kind: str) -> tuple[str, Told]:
        page = Page()
        page.open(posekit.load(folder))
        named = {"joint": joint, "type": kind} if method.endswith("_joint") else {}
        path = f"joints.{joint}.type"
        keys = {"edit": {"path": path, "value": kind}, "edit_all": {"changes": {path: kind}}}.get(method, {})
        view = page.ask(method, {**named, **keys, **params})
        return view["text"], view["told"]

    return door


PLACE = {"point_mm": [1, 2, 3], "direction": [0, 0, 1]}
DOORS = {
    "posekit edit set": by_command("set", "joints.{joint}.type={kind}"),
    "posekit edit place": by_command("place", "{joint}", "--at", "1,2,3", "--type", "{kind}"),
    "become_joint": by_page("become_joint"),
    "place_joint": by_page("place_joint", **PLACE),
    "drop_joint": by_page("drop_joint", at=[0.1, 0, 0], along=[0, 1, 0]),
    "edit": by_page("edit"),
    "edit_all": by_page("edit_all"),
}
REFUSED = {  # what follows or is driven, and what is followed
    (joint, "fixed") for joint in ("geared", "led", "like", "sits", "sum", "difference", "racked")
}


def numbers(table: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[tuple[str | int, ...], float]]:
    """All numbers of a file, and where they stand."""
    if isinstance(table, (int, float)) and not isinstance(table, bool):
        yield path, table
    elif isinstance(table, (dict, list)):
        for key, value in table.items() if isinstance(table, dict) else enumerate(table):
            yield from numbers(value, (*path, key))


def unit_of(path: tuple[str | int, ...], file: Mapping[str, Any]) -> object:
    """By which types of joints a number counts; None for one that counts by none."""
    types = {name: joint["type"] for name, joint in file["joints"].items()}
    match path:
        case ("joints", str(name), "stops" | "torque", *_) | ("joints", str(name), "follow", "offset"):
            return types[name]
        case ("joints", str(name), "follow", "ratio"):
            return types[name], types[file["joints"][name]["follow"]["joint"]]
        case ("drives", str(name), "linkage", "ratio" | "offset"):
            return types[file["drives"][name]["joint"]]
    return None


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "kinds").mkdir()
    (tmp_path / "kinds" / "prop.toml").write_text(TEXT)
    return tmp_path / "kinds"


def test_the_prop_of_this_law_has_every_key_whose_unit_is_one_of_two() -> None:
    two = {
        field.name
        for kind in (Joint, Follow)
        for field in fields(kind)
        if " or " in field.metadata.get("unit", "")
    }
    assert two == {"stops", "torque", "offset"}
    file = tomllib.loads(TEXT)
    assert {path[-1] for path, _ in numbers(file) if unit_of(path, file)} >= {"torque", "offset", "ratio"}


@pytest.mark.parametrize("door", DOORS)
@pytest.mark.parametrize(
    ("joint", "kind"),
    [(name, kind) for name in JOINTS for kind in KINDS if (name, kind) not in REFUSED],
)
def test_no_number_stands_whose_unit_has_changed_unless_it_is_said(
    folder: Path, door: str, joint: str, kind: str
) -> None:
    before = tomllib.loads(TEXT)
    text, told = DOORS[door](folder, joint, kind)
    after = tomllib.loads(text)
    assert after["joints"][joint]["type"] == kind
    said = [parse(each["subject"]) for each in told]
    left = dict(numbers(after))
    for path, was in numbers(before):
        heard = any(path[: len(place)] == place for place in said)
        stands = path in left and unit_of(path, before) == unit_of(path, after)
        if not stands:
            assert heard, f"{path} = {was} is {left.get(path, 'gone')}, and nothing is said"
        if path[-2:] == ("joints", joint) or path[:3] in {
            ("joints", joint, "stops"),
            ("joints", joint, "torque"),
        }:
            assert (path in left) == (before["joints"][joint]["type"] == kind), path
    # What no file has counts otherwise, too: a ratio of 1 that follows, a shaft that carries its joint.
    if before["joints"][joint]["type"] != kind:
        led = {"geared": ("led", "like"), "led": ("led",), "like": ("like",)}.get(joint, ())
        assert all(("joints", name, "follow", "ratio") in said for name in led)
        moved = {"geared": "gear", "sits": "horn", "sum": "left", "difference": "left", "racked": "rack"}.get(
            joint
        )
        assert moved is None or ("drives", moved, "linkage") in said
    else:
        assert said == []


# Keys that name a joint, each with one of the same kind and one of the other, none of which moves by another yet.
NAMED = {
    "joints.led.follow.joint": ("turns", "slides"),
    "joints.like.follow.joint": ("turns", "slides"),
    "drives.gear.joint": ("turns", "slides"),
    "drives.horn.joint": ("turns", "slides"),
    "drives.rack.joint": ("slides", "turns"),
    "drives.left.linkage.sum": ("turns", "slides"),
    "drives.left.linkage.difference": ("turns", "slides"),
}


def named_by_command(folder: Path, key: str, name: str) -> tuple[str, Told]:
    return by_command("set", f"{key}={name}")(folder, "", "")


def named_by_page(method: str) -> Door:
    def door(folder: Path, key: str, name: str) -> tuple[str, Told]:
        page = Page()
        page.open(posekit.load(folder))
        params = {"edit": {"path": key, "value": name}, "edit_all": {"changes": {key: name}}}
        view = page.ask(method, params[method])
        return view["text"], view["told"]

    return door


NAMING = {"posekit edit set": named_by_command, **{m: named_by_page(m) for m in ("edit", "edit_all")}}


@pytest.mark.parametrize("door", NAMING)
@pytest.mark.parametrize(
    ("key", "name", "alike"),
    [(key, name, name == names[0]) for key, names in NAMED.items() for name in names],
)
def test_another_joint_in_its_place_leaves_no_number_of_another_unit_unless_it_is_said(
    folder: Path, door: str, key: str, name: str, alike: bool
) -> None:
    before = tomllib.loads(TEXT)
    text, told = NAMING[door](folder, key, name)
    after = tomllib.loads(text)
    said = [parse(each["subject"]) for each in told if each["code"].split("-")[-1] in ("lost", "changed")]
    left = dict(numbers(after))
    for path, was in numbers(before):
        if path not in left or unit_of(path, before) != unit_of(path, after):
            heard = any(path[: len(place)] == place for place in said)
            assert heard, f"{path} = {was} is {left.get(path, 'gone')}, and nothing is said"
    assert bool(said) != alike
    place = parse(key)[:3] if key.startswith("joints") else (*parse(key)[:2], "linkage")
    assert all(each[:3] == place for each in said)


def test_every_key_that_names_a_joint_is_tried() -> None:
    file = tomllib.loads(TEXT)
    named = {
        *(f"joints.{name}.follow.joint" for name, joint in file["joints"].items() if "follow" in joint),
        *(f"drives.{name}.joint" for name, drive in file["drives"].items() if "joint" in drive),
        *(f"drives.left.linkage.{key}" for key in Differential.joint_keys),
    }
    assert named == set(NAMED)


def test_figures_that_are_set_with_another_joint_stay(folder: Path) -> None:
    new = ["drives.gear.linkage.offset=1", "joints.led.follow.ratio=3"]
    words = ["set", "drives.gear.joint=slides", "joints.led.follow.joint=slides", *new]
    done = CliRunner().invoke(main, ["edit", str(folder), *words, "--write", "--json"])
    assert done.exit_code == 0, done.output
    prop = posekit.load(folder)
    led = next(joint for joint in prop.joints if joint.name == "led")
    assert led.follow is not None and (led.follow.ratio, prop.drives[0].linkage.offset) == (3.0, 1.0)  # type: ignore[attr-defined]
    told = [each for each in json.loads(done.stdout)["findings"] if "unit" in each["code"]]
    assert [each["subject"] for each in told] == ["drives.gear.linkage"]
    assert "moves 'slides' by millimetres from now on, no longer by degrees" in told[0]["message"]


@pytest.mark.parametrize(("joint", "kind"), sorted(REFUSED))
def test_a_joint_that_moves_by_another_or_moves_one_cannot_become_fixed(
    folder: Path, joint: str, kind: str
) -> None:
    done = CliRunner().invoke(main, ["edit", str(folder), "set", f"joints.{joint}.type={kind}", "--write"])
    assert done.exit_code == 2
    assert (folder / "prop.toml").read_text() == TEXT


def test_figures_that_are_set_with_another_type_stay(folder: Path) -> None:
    new = ["joints.geared.stops=[0,9]", "joints.geared.torque=2", "drives.gear.linkage.offset=1"]
    words = ["set", "joints.geared.type=prismatic", *new, "joints.led.follow.ratio=3"]
    done = CliRunner().invoke(main, ["edit", str(folder), *words, "--write", "--json"])
    assert done.exit_code == 0, done.output
    geared = next(joint for joint in posekit.load(folder).joints if joint.name == "geared")
    assert (geared.stops, geared.torque) == ((0.0, 9.0), 2.0)
    told = [
        each["subject"]
        for each in json.loads(done.stdout)["findings"]
        if "unit" in each["code"] or "lost" in each["code"]
    ]
    assert told == ["joints.like.follow.ratio", "drives.gear.linkage"]


def test_what_is_said_names_the_old_unit_and_what_is_there_now(folder: Path) -> None:
    _, told = DOORS["posekit edit set"](folder, "geared", "prismatic")
    sentences = {each["subject"]: each["message"] for each in told}
    assert sentences["joints.geared.torque"] == (
        "= 0.25: is taken out, because it was N·m; give it anew with joints.geared.torque=NUMBER"
    )
    assert sentences["joints.led.follow.ratio"] == (
        "= 2.5: is taken out, because it was degrees per degree; 1 stands in its place, in degrees per millimetre; "
        "give it anew with joints.led.follow.ratio=NUMBER"
    )
    assert sentences["joints.like.follow.ratio"].startswith(
        "= 1: was millimetres per degree and is millimetres per millimetre from now on"
    )
    assert sentences["drives.gear.linkage"] == (
        "stays, and moves 'geared' by millimetres from now on, no longer by degrees: see to its figures"
    )
