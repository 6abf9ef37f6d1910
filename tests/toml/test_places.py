"""Key paths as messages write them, read back, and found on their lines."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

import posekit
from posekit.toml.lines import line_of, lines_of_keys
from posekit.toml.places import Path, dotted, parse

names = st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1)


@pytest.mark.parametrize(
    ("path", "text"),
    [
        (("links", "body", "shapes", 0, "box"), "links.body.shapes[0].box"),
        (("drives", "neck-2_b", "pulse", "low"), "drives.neck-2_b.pulse.low"),
        (("drives", "arm.left", "address"), 'drives."arm.left".address'),
        (("links", 'the "big" [1]', "shapes", 2), r'links."the \"big\" [1]".shapes[2]'),
    ],
)
def test_a_key_path_is_written_as_toml_writes_it_and_read_back(path: Path, text: str) -> None:
    assert dotted(path) == text
    assert parse(text) == path


@given(st.lists(names | st.integers(0, 99), min_size=1).filter(lambda path: isinstance(path[0], str)))
def test_every_key_path_is_read_back(path: list[str | int]) -> None:
    assert parse(dotted(tuple(path))) == tuple(path)


@given(names)
def test_a_key_is_to_toml_the_name_it_was_made_of(name: str) -> None:
    assert tomllib.loads(f"{dotted((name,))} = 1") == {name: 1}


def test_a_name_may_stand_bare_or_between_single_quotes_where_it_is_clear() -> None:
    assert parse("drives.left wing.pulse.low") == ("drives", "left wing", "pulse", "low")
    assert parse("drives.'arm.left'.pulse") == ("drives", "arm.left", "pulse")


@pytest.mark.parametrize("key", ['"arm.left"', "'arm.left'", r'"arm\u002eleft"'])
def test_a_quoted_name_is_found_on_its_line(key: str) -> None:
    lines = lines_of_keys(f"format = 1\n[drives.{key}]\nservo = 's'\n{key} = 2\n")
    assert line_of(("drives", "arm.left"), lines) == 2
    assert line_of(("drives", "arm.left", "servo"), lines) == 3
    assert line_of(("drives", "arm.left", "arm.left"), lines) == 4


@pytest.fixture
def dotted_arm(arm_text: str) -> posekit.Prop:
    """The arm with a dot in the name of its drive, and an end point that the servo does not take."""
    text = arm_text.replace("[drives.shoulder]", '[drives."arm.left"]').replace("low = 1000", "low = 400")
    return posekit.read({"prop.toml": text.encode()})


def test_a_drive_with_a_dot_in_its_name_is_edited_by_the_path_of_its_finding(
    dotted_arm: posekit.Prop,
) -> None:
    (finding,) = [each for each in posekit.check(dotted_arm) if each.code == "end-point"]
    assert finding.subject == 'drives."arm.left".pulse.low'
    line = dotted_arm.text.splitlines()[(finding.line or 0) - 1]
    assert line.startswith("pulse = {low = 400")
    edited = posekit.edit(dotted_arm, finding.subject, 1050)
    assert edited.drives[0].pulse.low == 1050
    assert edited.text == dotted_arm.text.replace("low = 400", "low = 1050")
