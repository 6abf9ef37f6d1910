"""One way to tell a number to people: by `posekit/text.py`, never rounded unseen and never with an exponent."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from posekit.text import exact, plain, signed
from tests.syntax import tree

PACKAGE = Path(__file__).parents[1] / "posekit"
MODULES = [each for each in sorted(PACKAGE.rglob("*.py")) if each != PACKAGE / "text.py"]
# g rounds 1234567 to six figures and has exponents, as e has; n follows the settings of the machine.
ROUNDS = re.compile(r"[gGeEn]$")
PLACED = re.compile(r"\{[^{}]*:[^{}]*[gGeEn]\}|%[-+ #0]*[0-9]*(?:\.[0-9]+)?[gGeE]")


def general_formats(tree: ast.AST) -> Iterator[int]:
    """The lines on which a number is formatted with g, e or n: in an f-string, by format() or in a template."""
    for node in ast.walk(tree):
        match node:
            case ast.FormattedValue(format_spec=ast.JoinedStr(values=[*_, ast.Constant(value=str(spec))])):
                found = bool(ROUNDS.search(spec))
            case ast.Call(func=ast.Name(id="format"), args=[_, ast.Constant(value=str(spec))]):
                found = bool(ROUNDS.search(spec))
            case ast.Call(func=ast.Attribute(attr="format", value=ast.Constant(value=str(template)))):
                found = bool(PLACED.search(template))
            case ast.BinOp(left=ast.Constant(value=str(template)), op=ast.Mod()):
                found = bool(PLACED.search(template))
            case _:
                found = False
        if found:
            yield getattr(node, "lineno", 0)


@pytest.mark.native
def test_numbers_are_formatted_with_figures_in_one_module_only() -> None:
    found = {
        f"{module.relative_to(PACKAGE)}:{line}"
        for module in MODULES
        for line in general_formats(tree(module))
    }
    assert not found, "use exact or plain of posekit/text.py"


@pytest.mark.parametrize(
    "wrong", ['f"{x:g}"', 'f"{x:.{n}g}"', '"{:+.3g}".format(x)', '"%.6g" % x', 'format(x, "e")']
)
def test_the_law_sees_each_way_of_writing_it(wrong: str) -> None:
    assert list(general_formats(ast.parse(wrong)))


def test_what_was_given_is_told_to_its_last_figure() -> None:
    given = [1234567.0, 1281.125, 0.00002, -0.0, 1500, 0.1 + 0.2, 1e15, 1e-7, float("inf"), 1999.0625]
    assert [exact(each) for each in given] == [
        *("1234567", "1281.125", "0.00002", "0", "1500", "0.3", "1e+15", "1e-07", "inf", "1999.0625")
    ]


def test_a_number_beyond_all_counting_has_an_exponent_either_way() -> None:
    assert [exact(1e300), plain(1e300), plain(float("nan"))] == ["1e+300", "1e+300", "nan"]


def test_a_difference_has_a_sign_and_nothing_has_none() -> None:
    assert [signed(plain(each, 3)) for each in (12.0, -0.5, 0.0)] == ["+12", "-0.5", "0"]
