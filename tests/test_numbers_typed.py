"""One way to read a number that somebody typed: what Python alone would take is refused at every door."""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import click
import pytest

from posekit.authoring.data_sheet import figure
from posekit.authoring.new_drive import servo_keys
from posekit.authoring.typed_sizes import typed_sizes, typed_vector
from posekit.bridge.units import typed
from posekit.cli.lengths import points, positions_of
from posekit.cli.options import Number, Whole
from posekit.errors import PosekitError
from posekit.shape.mesh_file import triangles_in
from posekit.shape.mesh_file.mtl import read_mtl
from posekit.signal.measured import pair_of
from posekit.signal.snapshot import Snapshot
from posekit.text import NumberList, cell_number, number, numbers
from tests.bridge.test_units import drive
from tests.syntax import tree

PACKAGE = Path(__file__).parents[1] / "posekit"
PYTHON_ONLY = ["1_0", "inf", "-inf", "nan", "Infinity", "\u0661\u0662", "\uff11", "0x10", "1e999", ""]
READER = "text.py"
# What text of people is called where it is split and read; a number that is a number already has other names.
TEXT = {"found", "line", "part", "raw", "said", "text", "typed", "word", "written"}


def _refused(read: Callable[[], Any]) -> bool:
    try:
        return read() is None
    except (PosekitError, click.BadParameter, ValueError):  # ValueError is a sentence of a mesh file
        return True


OBJ = "v 12 0 0\nv 0 1 0\nv 0 0 1\n" + "v 0 0 2\n" * 9 + "f 1 2 3\n"
STL = "solid\nfacet normal 0 0 1\nouter loop\nvertex 12 0 0\nvertex 0 1 0\nvertex 0 0 1\nendloop\nendfacet\nendsolid\n"
PLY = """ply
format ascii 1.0
element vertex 3
property float x
property float y
property float z
element face 1
property list uchar int vertex_indices
end_header
12 0 0
0 1 0
0 0 1
3 0 1 2
"""
context = click.Context(click.Command("linkage"))
option = click.Option(["--at"])
DOORS: dict[str, Callable[[str], Any]] = {
    "number": number,
    "length": lambda text: typed_sizes(f"{text}, 12" if text else ""),
    "lengths between": lambda text: typed_sizes(f"8:{text}"),
    "point": lambda text: typed_vector(f"0,{text},30"),
    "points": lambda text: points(context, option, (f"0,{text},30",)),
    "position": lambda text: positions_of(context, option, (f"128:{text}",)),
    "value of a position": lambda text: positions_of(context, option, (f"{text}:10",)),
    "option": lambda text: Number(min=-1e9).convert(text or "-", option, context),
    "whole option": lambda text: Whole(min=-9).convert(text or "-", option, context),
    "torque": lambda text: figure(text, "N*m"),
    "travel of a servo": lambda text: servo_keys({"travel": text or "-"}),
    "value of a channel": lambda text: typed(drive(8), text, "percent")[0],
    "percentage": lambda text: Snapshot.parse(f"1/9@{text}%"),
    "list": lambda text: None if numbers(f"{text}; 12").wrong else text,
    "coordinate of an OBJ": lambda text: triangles_in(OBJ.replace("12", text, 1).encode(), "a.obj"),
    "vertex of an OBJ": lambda text: triangles_in(OBJ.replace("f 1", f"f {text or '-'}").encode(), "a.obj"),
    "coordinate of an STL": lambda text: triangles_in(STL.replace("12", text, 1).encode(), "a.stl"),
    "coordinate of a PLY": lambda text: triangles_in(PLY.replace("12", text, 1).encode(), "a.ply"),
    "colour of a material": lambda text: read_mtl(f"newmtl a\nKd {text} 0 0\n".encode()),
    "cell of a table": cell_number,
    "measured": lambda text: None if isinstance(pair_of((text, "10")), str | None) else text,
}


@pytest.mark.parametrize("text", PYTHON_ONLY)
@pytest.mark.parametrize("door", DOORS)
def test_what_only_python_takes_for_a_number_is_refused(door: str, text: str) -> None:
    assert _refused(lambda: DOORS[door](text)), f"{text!r} was taken as a number"


@pytest.mark.parametrize("door", DOORS)
def test_what_is_a_number_to_everybody_is_taken(door: str) -> None:
    assert not _refused(lambda: DOORS[door]("12"))


def test_spaces_and_the_minus_of_print_are_read() -> None:
    assert [number(" 12 "), number("\u22122.5"), number("2,5"), number("2,5", comma=True)] == [
        12.0,
        -2.5,
        None,
        2.5,
    ]


@pytest.mark.parametrize("apart", [", ", "; ", ";", " ", "\t", "\n", " , "])
def test_what_parts_numbers_leaves_a_decimal_comma_to_them_where_it_can(apart: str) -> None:
    assert numbers(apart.join(["8", "10", "12.5"])) == NumberList((8.0, 10.0, 12.5))
    assert numbers(apart.join(["8", "10", "12,5"])) == (
        NumberList((8.0, 10.0, 12.5))
        if set(apart) & set(";\t\n")
        else either("“12,5” can be read in two ways; write 12.5 or 12, 5")
    )


def either(wrong: str) -> NumberList:
    """What is refused because there are two ways to read it."""
    return NumberList(wrong=wrong, either=True)


def test_what_is_no_number_is_not_one_of_two_readings() -> None:
    assert numbers("8; x; 2") == NumberList(wrong="“x” is not a number")
    assert numbers("two ways; 3") == NumberList(wrong="“two ways” is not a number")


def test_commas_alone_part_numbers_but_the_only_one_may_be_a_decimal_comma() -> None:
    assert numbers("8,10,12.5").numbers == (8.0, 10.0, 12.5)
    assert numbers("500,-90").numbers == (500.0, -90.0)
    assert numbers("8,10", several=True).numbers == (8.0, 10.0)
    assert numbers("12,5") == either("“12,5” can be read in two ways; write 12.5 or 12, 5")
    assert numbers("8, 10,12,5") == either(
        "“10,12,5” has commas that can be read in two ways; put a semicolon between numbers"
    )
    assert numbers("1,500; 2") == either("“1,500” can be read in two ways; write 1500 or 1.500")


LISTS: dict[str, Callable[[str], Any]] = {
    "sizes on the command line": lambda text: typed_sizes(text, several=True),
    "sizes in the page": typed_sizes,
    "figures of a servo": lambda text: servo_keys({"pulse_range": text}),
    "point": typed_vector,
}


@pytest.mark.parametrize("door", LISTS)
def test_no_door_takes_the_decimals_of_a_list_for_numbers_of_their_own(door: str) -> None:
    assert _refused(lambda: LISTS[door]("28, 35,5")), "was taken as three numbers"
    assert _refused(lambda: LISTS[door]("28 35,5"))


def test_figures_of_a_servo_may_be_typed_as_data_sheets_have_them() -> None:
    typed_so = {"travel": "180,5", "voltage": "4,8 to 6,8", "pulse_range": "500–2500"}
    assert servo_keys(typed_so) == {"travel": 180.5, "voltage": [4.8, 6.8], "pulse_range": [500, 2500]}
    with pytest.raises(PosekitError, match=r"“4,8” can be read in two ways; write 4\.8 or 4, 8"):
        servo_keys({"voltage": "4,8"})


def test_a_comma_that_may_be_of_thousands_is_asked_about() -> None:
    value, notice = typed(drive(16), "32,768", "16 bit")
    assert value is None and notice == "“32,768” can be read in two ways; write 32768 or 32.768."


def texts_as_floats(tree: ast.AST) -> Iterator[int]:
    """The lines on which float() or int() is called on what was split out of a text, or click reads a number itself."""
    for node in ast.walk(tree):
        match node:
            case ast.Call(func=ast.Name(id="float" | "int"), args=[ast.Name(id=name)]) if name in TEXT:
                yield node.lineno
            case ast.Call(
                func=ast.Name(id="float" | "int"),
                args=[ast.Call(func=ast.Attribute(attr="strip" | "replace")) | ast.JoinedStr()],
            ):
                yield node.lineno
            case ast.Call(func=ast.Attribute(value=ast.Name(id="click"), attr="FloatRange" | "IntRange")):
                yield node.lineno
            case ast.keyword(arg="type", value=ast.Name(id="float" | "int")):
                yield node.value.lineno


@pytest.mark.native
def test_text_of_people_becomes_a_number_in_one_module() -> None:
    found = {
        f"{module.relative_to(PACKAGE)}:{line}"
        for module in sorted(PACKAGE.rglob("*.py"))
        if module != PACKAGE / READER
        for line in texts_as_floats(tree(module))
    }
    assert not found, "use number, decimal or whole of posekit/text.py"


@pytest.mark.parametrize(
    "wrong", ["float(word)", "int(text.strip())", "float(f'{a}e3')", "option(type=float)"]
)
def test_the_law_sees_each_way_of_reading_it(wrong: str) -> None:
    assert list(texts_as_floats(ast.parse(wrong)))
