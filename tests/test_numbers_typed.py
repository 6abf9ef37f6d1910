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
from posekit.signal.measured import pair_of
from posekit.signal.snapshot import Snapshot
from posekit.text import number
from tests.bridge.test_units import drive

PACKAGE = Path(__file__).parents[1] / "posekit"
PYTHON_ONLY = ["1_0", "inf", "-inf", "nan", "Infinity", "\u0661\u0662", "\uff11", "0x10", "1e999", ""]
READER = "text.py"
# What text of people is called where it is split and read; a number that is a number already has other names.
TEXT = {"found", "line", "part", "raw", "said", "text", "typed", "word", "written"}


def _refused(read: Callable[[], Any]) -> bool:
    try:
        return read() is None
    except (PosekitError, click.BadParameter):
        return True


context = click.Context(click.Command("linkage"))
option = click.Option(["--at"])
DOORS: dict[str, Callable[[str], Any]] = {
    "number": number,
    "length": lambda text: typed_sizes(f"{text},12" if text else ""),
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
        for line in texts_as_floats(ast.parse(module.read_text()))
    }
    assert not found, "use number, decimal or whole of posekit/text.py"


@pytest.mark.parametrize(
    "wrong", ["float(word)", "int(text.strip())", "float(f'{a}e3')", "option(type=float)"]
)
def test_the_law_sees_each_way_of_reading_it(wrong: str) -> None:
    assert list(texts_as_floats(ast.parse(wrong)))
