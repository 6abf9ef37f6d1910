"""Keys of the prop file as people call them."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import posekit
from posekit.bridge.view_of_prop import finding_view
from posekit.bridge.words import ASKED, label, place, text
from posekit.errors import error
from tests.syntax import nodes


@pytest.mark.parametrize(
    ("subject", "words"),
    [
        ("drives.neck_base.pulse.low", "neck_base: pulse at 0"),
        ("drives.neck_base.pulse.high", "neck_base: pulse at full"),
        ('drives."arm.left".rest', "arm.left: rest (home)"),
        ("drives.jaw", "jaw"),
        ("servos.standard.pulse_range", "servo standard: pulse range"),
        ("links.body.shapes[0].box", "part body: shape 1: box"),
        ("links.body.shapes[2]", "part body: shape 3"),
        ("joints.neck.stops", "joint neck: stops"),
        ("supply.current", "supply: current"),
        ("clearance.margin", "clearance: margin"),
        ("looks/alert.csv", "looks/alert.csv"),
        ("body - wing", "body - wing"),
        ("", ""),
    ],
)
def test_a_place_of_the_file_is_said_in_words(subject: str, words: str) -> None:
    assert place(subject) == words


def test_a_finding_reads_as_one_sentence_with_its_line() -> None:
    found = error("out-of-range", "drives.jaw.pulse.low", "= 400: below the servo's 500 µs; use 500 or more")
    assert text(found) == "jaw: pulse at 0 = 400: below the servo's 500 µs; use 500 or more"


def test_what_has_no_better_word_keeps_its_own() -> None:
    assert label(("acceleration",)) == "acceleration"
    assert label(("stall_torque",)) == "stall torque"


def sentences(module: Path) -> Iterator[str]:
    """The texts of a module, but for what its functions and classes are for."""
    meant = {id(each.value) for each in nodes(module) if isinstance(each, ast.Expr)}
    for each in nodes(module):
        if isinstance(each, ast.Constant) and isinstance(each.value, str) and id(each) not in meant:
            yield each.value


def test_whoever_is_sent_to_a_command_is_sent_to_a_panel_in_the_page() -> None:
    core = Path(posekit.__file__).parent
    told = {
        command
        for path in core.rglob("*.py")
        if path.parent.name not in ("cli", "output")
        for sentence in sentences(path)
        for command in re.findall("`posekit [a-z]+`", sentence)
    }
    assert told == set(ASKED)
    for command in told:
        found = finding_view(error("strikes", "drives.jaw.pulse.low", f"= 400: {command} tells"))
        assert "posekit" not in found.text + found.alone
