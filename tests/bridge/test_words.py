"""Keys of the prop file as people call them."""

from __future__ import annotations

import pytest

from posekit.bridge.words import label, place, text
from posekit.errors import error


@pytest.mark.parametrize(
    ("subject", "words"),
    [
        ("drives.neck_base.pulse.low", "neck_base: pulse at 0"),
        ("drives.neck_base.pulse.high", "neck_base: pulse at full"),
        ('drives."arm.left".rest', "arm.left: rest (home)"),
        ("drives.jaw", "jaw"),
        ("servos.standard.pulse_range", "servo standard: pulse range"),
        ("links.body.shapes[0].box", "part body: shapes 1 box"),
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
