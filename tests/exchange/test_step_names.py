"""Names of the places of an assembly, read from its STEP file, against those that Open CASCADE gives."""

from __future__ import annotations

import pytest

from posekit.exchange.names import telling
from posekit.exchange.step import as_glb
from posekit.exchange.step_names import named_places, places
from posekit.shape.mesh_file.glb import nodes_in
from tests.exchange.test_step import FILES

PLACE = "#{}=NEXT_ASSEMBLY_USAGE_OCCURRENCE('{}','{}','',#{},#{},$);\n"


@pytest.mark.native
@pytest.mark.parametrize(
    "name", ["as1-oc-214", "as1-tu-203", "as1_pe_203", "dm1-id-214", "dm1-oc-214", "dm1-pe-214"]
)
def test_places_are_those_of_the_reader_in_its_order(name: str) -> None:
    content = (FILES / "cax-if" / f"{name}.stp").read_bytes()
    paths = dict.fromkeys((node.index, node.path) for node in nodes_in(as_glb(content)))
    assert telling(places(content)) == telling([path for _, path in paths])


def test_letters_beyond_ascii_and_doubled_quotes_are_read() -> None:
    text = PLACE.format(1, 1, r"fl\X2\00FC\X0\gel ''l''", 10, 11) + PLACE.format(2, 2, r"\X\E4", 10, 12)
    assert places(text.encode()) == [("", "flügel 'l'"), ("", "ä")]


def test_what_stands_in_itself_ends() -> None:
    loop = PLACE.format(1, 1, "a", 10, 11) + PLACE.format(2, 2, "b", 11, 10)
    assert places(loop.encode()) == []
    # Each level stands twice in the one above: 2^30 places.
    many = "".join(PLACE.format(2 * n + k, k, "x", n + 100, n + 101) for n in range(30) for k in (0, 1))
    assert places(many.encode()) == []


def test_assemblies_that_all_hold_each_other_end_before_all_their_ways_are_walked() -> None:
    """Thirteen that hold each other have some 480 million ways down."""
    pairs = [(99, 1), *((a, b) for a in range(1, 14) for b in range(1, 14) if a != b)]
    text = "".join(PLACE.format(1000 + n, 1000 + n, "x", a, b) for n, (a, b) in enumerate(pairs))
    assert places(text.encode()) == []


def test_without_a_place_each_the_solids_of_a_node_are_one_part() -> None:
    paths = [("lamp", "foot", "1"), ("lamp", "foot", "1"), ("lamp", "arm", "2")]
    assert named_places(paths, b"") == [
        ("node 1", ("lamp", "foot")),
        ("node 1", ("lamp", "foot")),
        ("node 2", ("lamp", "arm")),
    ]
