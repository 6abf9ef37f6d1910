"""Findings that say the same, and what findings are said of."""

import ast
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from posekit.errors import Finding, alike, note, warning
from tests.syntax import nodes

SAID = st.builds(
    Finding,
    st.sampled_from(["error", "warning", "note"]),
    st.sampled_from(["hull", "far"]),
    st.sampled_from(["", "links.arm", "links.bell"]),
    st.sampled_from(
        ["= 'a.stl' has no pieces", "= 'b.stl' has no pieces", "lies 12 mm off", "lies 13 mm off"]
    ),
)


@given(st.lists(SAID, max_size=12))
def test_every_finding_is_told_once_and_in_its_order(findings: list[Finding]) -> None:
    told = alike(findings)
    firsts = [first for first, _ in told]
    assert sum(1 + len(others) for _, others in told) == len(findings)
    positions = iter(findings)
    assert all(first in positions for first in firsts), "in their order"
    for first, others in told:
        spoken = [each for each in findings if each.code == first.code and each.subject in others]
        assert not others or (first.level == "note" and len(spoken) >= len(set(others)))


def test_notes_that_differ_in_a_name_are_one_and_those_that_differ_in_a_number_are_not() -> None:
    hulls = [
        note("hull", f"links.{name}", f"= '{name}.stl' has no pieces") for name in ("arm", "bell", "post")
    ]
    far = [note("far", "links.arm", "lies 12 mm off"), note("far", "links.bell", "lies 13 mm off")]
    warned = [warning("thin", f"links.{name}", "is thin") for name in ("arm", "bell")]
    assert alike([*hulls, *far, *warned]) == [
        (hulls[0], ("links.bell", "links.post")),
        *((each, ()) for each in (*far, *warned)),
    ]


# What a finding can be of besides a key, a name or an option: things that a builder has before them.
THINGS = {
    *("pieces", "snapshot", "what was pasted", "the page", "show", "cues", "rate"),
    *("points", "direction", "servo at", "servo axis", "within", "margin", "resolution", "budget"),
    *("transmission", "straightness", "motion", "times", "limits", "positions", "values"),
    *("drives", "receiver", "clearance.ignore", "posekit_notes"),
}


def test_a_finding_is_of_something_that_a_builder_knows_and_never_of_a_name_in_our_code() -> None:
    core = Path(__file__).parents[1] / "posekit"
    calls = [
        (call.args[1].value, f"{path.name}:{call.lineno}")
        for path in core.rglob("*.py")
        for call in nodes(path)
        if isinstance(call, ast.Call)
        and isinstance(call.func, ast.Name)
        and call.func.id in ("error", "warning", "note", "level")
        and len(call.args) == 3
        and isinstance(call.args[1], ast.Constant)
    ]
    options = {subject for subject, _ in calls if subject.startswith("--") or subject.isupper()}
    assert len(calls) > 150, "they are found where they are made"
    assert {(s, at) for s, at in calls if s and s not in THINGS | options} == set()
    assert {s for s, _ in calls} >= THINGS, "nothing is on the list that is not said"
