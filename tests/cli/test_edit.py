"""`posekit edit` from the outside: shown first, written when told to, whole or not at all."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result

import posekit
from posekit.authoring.contents import at_zero
from posekit.cli import main
from tests.conftest import CASES

# As parts come out of CAD: in one place, held by joints that do not move.
CAD = """\
# A gull for a harbour museum.
format = 1
name = "Gull"

[links.stand]
[[links.stand.shapes]]
box = [80, 80, 20]
at = [0, 0, 10]

[links.body]                 # foam
[[links.body.shapes]]
box = [120, 60, 60]
at = [0, 0, 130]

[links.head]
[[links.head.shapes]]
sphere = {radius = 25}
at = [80, 0, 190]

[joints.body]
type = "fixed"
parent = "stand"
child = "body"

[joints.head]
type = "fixed"
parent = "stand"
child = "head"
"""


@pytest.fixture
def gull(tmp_path: Path) -> Path:
    folder = tmp_path / "gull"
    (folder / "shows").mkdir(parents=True)
    (folder / "prop.toml").write_text(CAD)
    return folder


def run(folder: Path, *words: str) -> Result:
    return CliRunner().invoke(main, ["edit", str(folder), *words])


def test_an_act_is_shown_and_writes_nothing(gull: Path) -> None:
    done = run(gull, "hang", "head", "body")
    assert done.exit_code == 0, done.output
    lines = done.output.splitlines()
    assert (lines[0], lines[-1][:11]) == ("prop.toml: changed", "Not written")
    assert [line for line in lines if " - " in line or " + " in line] == [
        '   27 - parent = "stand"',
        '   27 + parent = "body"',
    ]
    assert (gull / "prop.toml").read_text() == CAD


def test_a_builder_makes_parts_move_without_a_hand_on_the_file(gull: Path) -> None:
    before = at_zero(posekit.load(gull))
    for words in (
        ["hang", "head", "body"],
        ["rename", "joint", "head", "neck"],
        [
            "place",
            "neck",
            "--at",
            "60,0,165",
            "--along",
            "0,1,0",
            "--type",
            "revolute",
            "--stops",
            "-20",
            "35",
        ],
        ["place", "body", "--at", "0,0,20", "--along", "0,0,1", "--type", "revolute"],
        ["add", "servo", "mini", "--typical", "micro", "speed=0.11 s/60deg", "stall_torque=1.8 kgf.cm"],
        ["add", "drive", "turn", "servo=mini", "joint=body", "pulse.low=1200", "pulse.high=1800"],
        ["add", "drive", "nod", "servo=mini", "joint=neck", "linkage.type=gear", "linkage.ratio=2"],
        [
            "linkage",
            "nod",
            "type=four_bar",
            "crank=12",
            "coupler=40",
            "rocker=15",
            "ground=41",
            "shaft_zero=90",
        ],
        ["ignore", "stand", "head"],
        ["set", "drives.nod.rest=100", 'links.head.shapes[0].colour="#eeeeee"'],
    ):
        done = run(gull, *words, "--write")
        assert done.exit_code == 0, (words, done.output)
    prop = posekit.load(gull)
    assert (
        prop.text.startswith("# A gull for a harbour museum.")
        and "[links.body]                 # foam" in prop.text
    )
    head = prop.links[2]
    assert head.shapes[0].at == (20, 0, 25) and at_zero(prop)["head"][:3, 3] == pytest.approx([60, 0, 165])
    assert at_zero(prop)["body"][:3, 3] == pytest.approx([0, 0, 20]) and before["body"][2, 3] == 0
    # 60 degrees in 0.11 s, and 1.8 times 9.80665 N times 10 mm, to five digits.
    assert (prop.servos[0].speed, prop.servos[0].stall_torque) == (545.45, 0.17652)
    assert [drive.address for drive in prop.drives] == [1, 2]
    # The sphere goes round the neck: a quarter turn about y takes 20 before and 25 above to 25 before and 20 below.
    turned = posekit.forward(prop, [[0.0, 90.0]] if prop.joints[0].name == "body" else [[90.0, 0.0]])[0]
    assert (turned[2] @ np.array([20, 0, 25, 1.0]))[:3] == pytest.approx([60 + 25, 0, 165 - 20])


def test_a_rename_is_written_with_its_shows_and_the_old_file_goes(gull: Path) -> None:
    (gull / "prop.toml").write_text((CASES / "valid" / "arm.toml").read_text())
    (gull / "looks").mkdir()
    (gull / "looks" / "up.csv").write_text("universe,address,value\n1,1,200\n")
    cues = 'format = 1\n[[cues]]\nname = "a"\nvalues = {shoulder = 3} # low\n'
    cues += '[[cues]]\nname = "b"\nlook = "looks/up.csv"\n'
    (gull / "shows" / "a.toml").write_text(cues)
    (gull / "shows" / "b.toml").write_text("format =")
    done = run(gull, "rename", "drive", "shoulder", "upper", "--write")
    assert done.exit_code == 0 and "shows/b.toml: cannot be read as a list of cues" in done.output
    done = run(gull, "rename", "file", "looks/up.csv", "looks/high.csv", "--write", "--json")
    told = json.loads(done.stdout)
    assert list(told) == ["prop", "written", "changed", "findings"]
    assert list(told["changed"]) == ["looks/high.csv", "looks/up.csv", "shows/a.toml"]
    assert told["written"] == str(gull)
    new = cues.replace("shoulder", "upper").replace("up.csv", "high.csv")
    assert (gull / "shows" / "a.toml").read_text() == new
    assert [file.name for file in (gull / "looks").iterdir()] == ["high.csv"]


def test_what_goes_with_a_part_is_told_before_it_goes(gull: Path) -> None:
    run(gull, "hang", "head", "body", "--write")
    done = run(gull, "remove", "part", "body", "--write")
    assert done.exit_code == 2
    assert "joints.head (carries 'head'); links.head (hangs on joint 'head')" in done.stderr
    assert "head" in (gull / "prop.toml").read_text()
    assert run(gull, "remove", "part", "body", "--with-all", "--write").exit_code == 0
    assert [link.name for link in posekit.load(gull).links] == ["stand"]


WRONG = {
    "no such joint": (["place", "hed", "--at", "1,2,3"], "did you mean 'head'"),
    "no point": (["place", "head", "--at", "1,2"], "write three numbers as 0,35.5,30"),
    "no place to hang": (["add", "part", "crest"], "name the part that 'crest' hangs on"),
    "no key": (["add", "servo", "s", "travel"], "is not KEY=VALUE"),
    "a key that is none": (["add", "servo", "s", "travell=3"], "did you mean 'travel'"),
    "no speed": (["add", "servo", "s", "speed=fast"], "is no speed above 0"),
    "a shape without a number": (["remove", "shape", "head"], "a shape needs it"),
    "a root": (["remove", "part", "stand", "--with-all"], "carries all other parts"),
    "a circle": (["hang", "stand", "head"], "carries all other parts and hangs on none"),
    "two places": (["judge", "body", "head", "--write", "-o", "x"], "are two places"),
    "a loop": (["set", "joints.body.parent=head", "joints.head.parent=body"], "form a loop"),
    "a value and keys": (["add", "servo", "s", "travel=3", "travel.x=3"], "is given a value and keys of its own"),
}  # fmt: skip


@pytest.mark.parametrize(("words", "told"), WRONG.values(), ids=WRONG.keys())
def test_what_cannot_be_done_is_told_and_nothing_is_written(gull: Path, words: list[str], told: str) -> None:
    done = run(gull, *words, *([] if "-o" in words else ["--write"]))
    assert done.exit_code == 2, done.output
    assert told in done.stderr
    assert (gull / "prop.toml").read_text() == CAD


def test_a_copy_is_a_new_folder_and_never_an_old_one(gull: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy"
    assert run(gull, "set", 'name="Tern"', "-o", str(copy)).exit_code == 0
    assert posekit.load(copy).name == "Tern" and (gull / "prop.toml").read_text() == CAD
    done = run(gull, "set", 'name="Tern"', "-o", str(copy))
    assert done.exit_code == 2 and "is there already" in done.stderr


def test_a_glb_is_not_written_over(gull: Path, tmp_path: Path) -> None:
    glb = str(tmp_path / "gull.glb")
    assert CliRunner().invoke(main, ["pose", str(gull), "1/1@0", "-o", glb]).exit_code == 0
    done = CliRunner().invoke(main, ["edit", glb, "hang", "head", "body", "--write"])
    assert done.exit_code == 2 and "is a GLB" in done.stderr
    done = CliRunner().invoke(main, ["edit", glb, "hang", "head", "body", "-o", str(tmp_path / "new")])
    assert done.exit_code == 0 and posekit.load(tmp_path / "new").fixed[1].parent == "body"


def test_what_the_edit_brings_is_told(gull: Path) -> None:
    run(gull, "place", "head", "--at", "60,0,165", "--along", "0,1,0", "--type", "revolute", "--write")
    run(gull, "add", "servo", "s", "travel=180", "--write")
    done = run(gull, "add", "drive", "d", "servo=s", "joint=head", "pulse.low=100", "--json")
    told = json.loads(done.stdout)
    assert done.exit_code == 1
    first = told["findings"][0]
    assert (first["level"], first["subject"]) == ("error", "drives.d.pulse.low")


def test_what_was_measured_becomes_the_points_of_a_servo(tmp_path: Path) -> None:
    folder = tmp_path / "arm"
    folder.mkdir()
    text = (CASES / "valid" / "arm.toml").read_text()
    (folder / "prop.toml").write_text(text)
    servo = posekit.load(folder).servos[0].name
    file = tmp_path / "measured.csv"
    file.write_text("us,degrees\n1000,-44\n1250,-22.5\n1500,0.5\n1750,23\n2000,46\n")
    shown = run(folder, "measured", servo, str(file), "--write")
    assert shown.exit_code == 0, shown.output
    points = ((1000.0, -44.0), (1250.0, -22.5), (1500.0, 0.5), (1750.0, 23.0), (2000.0, 46.0))
    assert posekit.load(folder).servos[0].points == points
    file.write_text("us,degrees\n1000,-44\n15oo,3\n")
    assert run(folder, "measured", servo, str(file)).exit_code == 2


# What is typed that is of another kind than the key: told by the rules of the prop file, or as wrong use.
MISTYPED = [
    ("add", "drive", "d", "servo=s", "joint=head", "bits=abc"),
    ("add", "drive", "d", "servo=s", "joint=head", "bits=[8]"),
    ("add", "drive", "d", "servo=s", "joint=head", "universe=abc"),
    ("add", "drive", "d", "servo=s", "joint=head", "linkage=direct"),
    ("add", "drive", "d", "servo=s", "joint=head", "linkage=3"),
    ("add", "drive", "d", "servo=s", "joint=head", "linkage[0].type=gear"),
    ("add", "part", "p", "--on", "head", "shapes=3"),
    ("add", "part", "p", "--on", "head", "shapes=[3]"),
    ("add", "part", "p", "--on", "head", "shapes=box"),
    ("add", "part", "p", "--on", "head", "shapes={box=[1,2,3]}"),
    ("add", "part", "p", "--on", "head", "shapes[0].box=[1,2,3]"),
    ("add", "joint", "j", "--on", "head", "at=3"),
    ("add", "joint", "j", "--on", "head", "parent=stand"),
    ("add", "joint", "j", "--on", "head", "child=body"),
    ("add", "shape", "head", "box=3"),
    ("add", "shape", "head", "sphere=3"),
    ("add", "servo", "s", "points=3"),
    ("add", "servo", "s", "points=[3]"),
    ("add", "supply", "s", "voltage=abc"),
    ("set", "links=3"),
    ("set", "links.head=3"),
    ("set", "links.head.shapes=3"),
    ("set", "joints.head.follow=3"),
    ("set", "clearance=3"),
    ("set",),
    ("unset", "links.head.mas"),
    ("unset", "nothing"),
    ("rename", "part", "head", "  "),
    ("rename", "part", "head", " head"),
    ("rename", "part", "head", "he\nad"),
    ("rename", "joint", "head", "he\u202ead"),
    ("remove", "shape", "head", "7"),
]


@pytest.mark.parametrize("words", MISTYPED, ids=" ".join)
def test_what_is_mistyped_is_refused_with_what_would_be_right_and_writes_nothing(
    gull: Path, words: tuple[str, ...]
) -> None:
    done = run(gull, *words, "--write")
    assert done.exit_code == 2, done.output
    assert "posekit itself failed" not in done.output
    assert not isinstance(done.exception, Exception) or isinstance(done.exception, SystemExit)
    assert (gull / "prop.toml").read_text() == CAD


def test_a_key_that_is_not_there_is_told_though_another_is(gull: Path) -> None:
    done = run(gull, "unset", "links.head.shapes", "links.head.mas", "--write")
    assert done.exit_code == 2
    assert "links.head.mas: is not in the prop file" in done.output
    assert (gull / "prop.toml").read_text() == CAD


def test_a_turn_that_becomes_a_slide_loses_its_stops_and_says_so(gull: Path) -> None:
    turning = CAD.replace(
        'type = "fixed"\nparent = "stand"\nchild = "head"',
        'type = "revolute"\nparent = "stand"\nchild = "head"\nstops = [-20, 35]',
    )
    (gull / "prop.toml").write_text(turning)
    done = run(gull, "place", "head", "--at", "0,0,0", "--type", "prismatic", "--write")
    assert done.exit_code == 0, done.output
    assert "joints.head.stops = [-20, 35]: are taken out, because they were degrees" in done.output
    assert posekit.load(gull).joints[0].stops is None
    given = run(gull, "place", "head", "--at", "0,0,0", "--type", "revolute", "--stops", "-5", "6", "--write")
    assert "taken out" not in given.output
    assert posekit.load(gull).joints[0].stops == (-5.0, 6.0)
    run(gull, "place", "head", "--at", "1,0,0", "--type", "revolute", "--write")
    assert posekit.load(gull).joints[0].stops == (-5.0, 6.0)


TURNING = CAD.replace(
    'type = "fixed"\nparent = "stand"\nchild = "head"',
    'type = "revolute"\nparent = "stand"\nchild = "head"\nstops = [-80, 80]',
)


@pytest.mark.parametrize("door", ["place", "set"])
def test_stops_in_degrees_never_become_millimetres_by_way_of_fixed(gull: Path, door: str) -> None:
    (gull / "prop.toml").write_text(TURNING)

    def becomes(kind: str) -> str:
        words = ["place", "head", "--at", "0,0,0", "--type", kind]
        words = words if door == "place" else ["set", f"joints.head.type={kind}"]
        done = run(gull, *words, "--write")
        assert done.exit_code == 0, done.output
        return done.output

    assert "joints.head.stops = [-80, 80]: are taken out, because a fixed joint has none" in becomes("fixed")
    assert "taken out" not in becomes("prismatic")
    assert posekit.load(gull).joints[0].stops is None


def test_stops_of_a_joint_that_is_fixed_by_hand_are_taken_out_when_it_moves(gull: Path) -> None:
    (gull / "prop.toml").write_text(TURNING.replace('type = "revolute"', 'type = "fixed"'))
    done = run(gull, "set", "joints.head.type=prismatic", "--write")
    assert "because nothing says whether they were degrees or millimetres; give new ones with" in done.output
    assert posekit.load(gull).joints[0].stops is None


def test_stops_that_are_set_with_another_type_stay(gull: Path) -> None:
    (gull / "prop.toml").write_text(TURNING)
    done = run(gull, "set", "joints.head.type=prismatic", "joints.head.stops=[0,12]", "--write")
    assert "taken out" not in done.output
    assert posekit.load(gull).joints[0].stops == (0.0, 12.0)


def test_what_was_not_written_is_told_without_a_line_of_the_file_that_is_there(gull: Path) -> None:
    for key, words in {
        "servos.mini.travel": ("add", "servo", "mini", "travel=wide"),
        "drives.nod.servo": ("add", "drive", "nod", "servo=mini", "joint=head"),
        "links.stand.mass": ("set", "links.stand.mass=heavy", "--write"),
    }.items():
        refused = run(gull, *words)
        assert refused.exit_code == 2
        assert f"error: {key} = " in refused.output
    assert (gull / "prop.toml").read_text() == CAD


def test_what_is_found_in_a_written_prop_is_told_with_its_file_and_line(gull: Path) -> None:
    run(gull, "place", "head", "--at", "80,0,165", "--type", "revolute", "--stops", "-5", "5", "--write")
    run(gull, "add", "servo", "mini", "--typical", "micro", "--write")
    words = ("add", "drive", "nod", "servo=mini", "joint=head")
    shown, written = run(gull, *words), run(gull, *words, "--write")
    line = (gull / "prop.toml").read_text().splitlines().index("[drives.nod]") + 1
    assert f"warning: line {line}: drives.nod.pulse" in shown.output  # a line of the difference above it
    assert f"warning: {gull / 'prop.toml'}:{line}: drives.nod.pulse" in written.output


def test_a_current_is_typed_in_the_unit_of_its_data_sheet(gull: Path) -> None:
    keys = ("stall_current=850 mA", "idle_current=0 mA", "friction=0 N.cm")
    assert run(gull, "add", "servo", "mini", *keys, "--write").exit_code == 0
    (servo,) = posekit.load(gull).servos
    assert (servo.stall_current, servo.idle_current, servo.friction) == (0.85, 0.0, 0.0)
