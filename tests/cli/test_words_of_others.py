"""Words of others, in names, files and paths, never reach a terminal as anything but words."""

from __future__ import annotations

import csv
import io
import json
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner, Result

from posekit.cli import main
from posekit.cli.main import COMMANDS
from posekit.text import printable

# A colour, a title of the window, a bell, an 8-bit control sequence, a turn of the direction, a new line, a tab.
HOSTILE = "x\x1b[31m\x1b]0;t\x07\x9b2J\u202eevil\u2066\n\r\tend"
NAME = json.dumps(HOSTILE)  # JSON escapes what TOML escapes, the same way
PROP = f"""
format = 1
name = {NAME}

[servos.{NAME}]
pulse_range = [1200, 1800]
travel = 60.0

[links.base]
[[links.base.shapes]]
box = [20, 20, 20]

[links.{NAME}]
[[links.{NAME}.shapes]]
box = [30, 30, 30]

[links.tip]
[[links.tip.shapes]]
sphere = {{radius = 12}}
at = [5, 0, 0]

[joints.{NAME}]
type = "revolute"
parent = "base"
child = {NAME}
axis = [0, 0, 1]
stops = [-10, 10]

[joints.tip]
type = "revolute"
parent = {NAME}
child = "tip"
axis = [0, 0, 1]

[drives.{NAME}]
servo = {NAME}
joint = {NAME}
address = 1
pulse = {{low = 1000, high = 2000}}
"""
CUES = f"""
format = 1
name = {NAME}
[[cues]]
name = {NAME}
text = "1/1@255"
fade = 0.1
hold = 0.1
"""
FOLDER = "{0}"  # the path of the prop folder, which is hostile itself

CASES: dict[str, list[list[str]]] = {
    "new": [
        [FOLDER], ["{0}/" + HOSTILE], ["{0}/fresh", HOSTILE], ["{0}/fresh", HOSTILE + ".stl"],
        ["{0}/fresh", "{0}/measured.csv"], ["{0}/fresh", "--unit", HOSTILE], ["{0}/fresh", "--servo", HOSTILE],
    ],
    "edit": [
        [FOLDER, "set", "name=" + HOSTILE], [FOLDER, "rename", "joint", HOSTILE, "neck"], [FOLDER, HOSTILE],
        [FOLDER, "remove", "part", HOSTILE], [FOLDER, "add", "servo", HOSTILE, HOSTILE],
        [HOSTILE, "hang", "tip", "base"],
        [FOLDER, "hang", "tip", "base", "-o", HOSTILE + "/x"], [FOLDER, "place", HOSTILE, "--at", HOSTILE],
        [FOLDER, "rename", "drive", HOSTILE, HOSTILE + "2", "--write"], [FOLDER, "zero", HOSTILE, "3"],
    ],
    "pose": [
        [FOLDER, "1/1@0"], [FOLDER, "1/1@0, 1/7@3"], [FOLDER, HOSTILE], [HOSTILE, "1/1@0"],
        [FOLDER, f"1/1@{HOSTILE}"], [FOLDER, "1/1@0", "-o", "{0}/" + HOSTILE + ".glb"],
        [FOLDER, "1/1@0", "-o", HOSTILE + "/x.glb"], [FOLDER, "1/1@0", "-o", HOSTILE],
    ],
    "check": [[FOLDER], [FOLDER, "1/1@255"], [HOSTILE]],
    "envelope": [[FOLDER], [FOLDER, "--fix", HOSTILE], [FOLDER, "--margin", HOSTILE]],
    "move": [[FOLDER, "1/1@0", "1/1@255"], [FOLDER, "1/1@0", HOSTILE]],
    "motion": [
        [FOLDER, "{0}/shows/a.toml"], [FOLDER, HOSTILE], [FOLDER, "a", "--within", "1"],
        [FOLDER, "a", "--csv", "{0}/" + HOSTILE + ".csv"],
    ],
    "power": [[FOLDER], [FOLDER, "{0}/shows/a.toml"], [FOLDER, HOSTILE], [HOSTILE]],
    "hinge": [
        [FOLDER, HOSTILE + "@0,0,5"], [FOLDER, "tip@0,0,0", "--joint", HOSTILE, "--write"], [FOLDER, HOSTILE],
        [FOLDER, "tip@5,0,12", "-1,2,-3", "--joint", HOSTILE], [HOSTILE, HOSTILE],
    ],
    "linkage": [[FOLDER, HOSTILE], [HOSTILE, "tip"], [FOLDER, HOSTILE, "--joint", "-5", "5", "--type", "gear"]],
    "show": [[HOSTILE, "--no-open"], [FOLDER, "--port", HOSTILE]],
    "site": [["{0}/site", FOLDER], [HOSTILE + "/x", FOLDER], ["{0}/site", HOSTILE], [FOLDER, FOLDER]],
    "export": [[FOLDER, "-o", "{0}/" + HOSTILE + ".stl"], [FOLDER, "-o", HOSTILE], [FOLDER, "--sheet", HOSTILE],
        [FOLDER, "1/1@0", "--sheet", "{0}/" + HOSTILE + ".html"]],
    "sheet": [
        [FOLDER, "--cards"], [FOLDER, "--cards", "--steps", "{0}/measured.csv"], [FOLDER, "--compare", HOSTILE],
        [FOLDER, "--compare", "{0}/measured.csv"], [FOLDER], [HOSTILE], [FOLDER, "-o", HOSTILE],
        [FOLDER, "-o", "{0}/" + HOSTILE + ".html"],
    ],
    "notes": [
        [FOLDER, "{0}/notes"], [FOLDER, "{0}/notes", "--done", "1a1a1a", "--answer", HOSTILE], [FOLDER, HOSTILE],
        [FOLDER, "--done", HOSTILE], [FOLDER, "{0}/measured.csv"],
    ],
    "fit": [["{0}/" + HOSTILE + ".csv"], ["{0}/measured.csv"], [HOSTILE]],
    "pieces": [[FOLDER], [FOLDER, HOSTILE]],
    "schema": [[], [HOSTILE]],
}  # fmt: skip
WRONG_USE = [[HOSTILE], ["--" + HOSTILE], ["pose", "--" + HOSTILE], ["pose", "a", "b", HOSTILE]]
RUNS = [[name, *words] for name, runs in CASES.items() for words in runs] + WRONG_USE

pytestmark = [
    pytest.mark.native,
    pytest.mark.skipif(sys.platform == "win32", reason="no such names of files there"),
]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    place = tmp_path / HOSTILE
    (place / "shows").mkdir(parents=True)
    (place / "prop.toml").write_text(PROP)
    (place / "shows" / "a.toml").write_text(CUES)
    (place / "measured.csv").write_text(f'us,degrees\n1500,"{HOSTILE}"\n')
    words = {
        "by": HOSTILE,
        "look": HOSTILE,
        "part": HOSTILE,
        "text": f"{HOSTILE}\n<img onerror=a(1)></script>" + "x" * 9_000,
    }
    note = {"id": "1a" * 16, "made": "2026-11-26T10:00:00Z", "kind": "change", **words}
    top = {"posekit_notes": 1, "prop": HOSTILE, "fingerprint": "0f" * 32, "file_made": "2026-11-26"}
    (place / "notes").write_text(json.dumps({**top, "notes": [note]}))
    return place


def run(folder: Path, words: list[str], *more: str) -> Result:
    return CliRunner().invoke(main, [*(word.replace("{0}", str(folder)) for word in words), *more])


def test_every_command_is_in_this_law() -> None:
    assert set(CASES) == set(COMMANDS)


@pytest.mark.parametrize("words", RUNS, ids=range(len(RUNS)))
def test_no_command_prints_a_control_character_or_a_bidirectional_mark_of_others(
    folder: Path, words: list[str]
) -> None:
    done = run(folder, words)
    assert done.exit_code in (0, 1, 2), done.output
    for line in (done.stdout + done.stderr).split("\n"):
        assert line == printable(line, len(line)), words


WRITTEN = {
    "map.svg": ["envelope", FOLDER, "--map"],
    "fix.toml": ["envelope", FOLDER, "--fix"],
    "curves.csv": ["motion", FOLDER, "a", "--csv"],
    "sheet.html": ["sheet", FOLDER, "-o"],
    "sheet.md": ["sheet", FOLDER, "-o"],
    "sheet.csv": ["sheet", FOLDER, "-o"],
    "cards.html": ["sheet", FOLDER, "--cards", "-o"],
    "cards.md": ["sheet", FOLDER, "--cards", "-o"],
    "pictures.html": ["export", FOLDER, "1/1@0", "--sheet"],
}


@pytest.mark.parametrize("name", WRITTEN)
def test_no_file_of_text_holds_a_control_character_of_others_a_formula_or_broken_markup(
    folder: Path, tmp_path: Path, name: str
) -> None:
    prop = folder / "prop.toml"
    text = prop.read_text().replace(NAME, json.dumps("=1+" + HOSTILE))
    # The tip strikes the base at one end of its way, so that there is a map to draw and an end point to mend.
    text = text.replace("box = [20, 20, 20]", "box = [20, 20, 20]\nat = [40, 27, 0]")
    prop.write_text(text.replace("at = [5, 0, 0]", "at = [40, 0, 0]"))
    file = tmp_path / name
    done = run(folder, [*WRITTEN[name], str(file)])
    assert file.exists(), done.output
    text = file.read_text(encoding="utf-8-sig")
    for line in text.splitlines() if file.suffix != ".md" else text.split("\n"):
        assert line == printable(line, len(line)), name
    if file.suffix == ".svg":
        assert ElementTree.fromstring(text).tag == "{http://www.w3.org/2000/svg}svg"
        assert "values at which they touch" in text and "now" not in text  # nobody stands at a slider
    if file.suffix == ".csv":
        cells = [cell for row in csv.reader(io.StringIO(text)) for cell in row]
        wrong = [cell for cell in cells if cell.startswith(tuple("=+@\t\r"))]
        assert cells and wrong == []


@pytest.mark.parametrize("words", [["pose", FOLDER, "1/1@0"], ["check", FOLDER], ["motion", FOLDER, "a"]])
def test_json_gives_the_names_as_they_are_in_letters_that_are_safe(folder: Path, words: list[str]) -> None:
    done = run(folder, words, "--json")
    assert done.stdout.isascii() and "\x1b" not in done.stdout
    assert json.loads(done.stdout)["prop"] == HOSTILE
