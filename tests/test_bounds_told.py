"""What is proved, and what something can do, is never told to the unsafe side: bounds are rounded up, limits down."""

from __future__ import annotations

import ast
import csv
import io
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import posekit
from posekit.clearance.verdict import Envelope, PairVerdict
from posekit.output.document import Table
from posekit.report.envelope import verdict_findings
from posekit.report.feeding import SupplyPower
from posekit.report.figures import figures_csv
from posekit.report.sheet import sheet
from posekit.report.sheet_power import power_blocks
from posekit.report.sheet_strength import HeldRow, SheetStrength
from posekit.report.supply_words import supply_figures
from posekit.text import downward, upward
from tests.conftest import CASES
from tests.syntax import tree

PACKAGE = Path(__file__).parents[1] / "posekit"
# Names of what is a bound, a limit that something has, or what is left of it: such a number is told by `upward` or
# `downward`, never by a format that rounds to the nearest.
BOUNDS = set(
    [
        "most_nm",
        "peak_nm",
        "stall_nm",
        "share",
        "stall_a",
        "left_nm",
        "held_nm",
        "loose",
        "skin_mm",
        "stands_out",
        "at_servos",
        "clear_by_mm",
        "nearest_mm",
        "depth_mm",
        "open_fraction",
        "deviation_mm",
        "uncertain_mm",
        "uncertain_deg",
        "transmission_deg",
        "straightness",
        "dead_deg",
        "worst",
        "lag_s",
        "stalled_a",
        "supply_needed_a",
        "power_on_at_once_a",
        "power_on_staggered_a",
        "power_on_pause_s",
        "wire_mm2",
        "beyond",
        "torque_left",
        "speed_left",
        "servo_volts",
        "all_stalled_a",
        "all_moving_a",
        "all_holding_a",
        "show_peak_a",
    ]
)
# Here the name is of something else: how much of a wall is round, a fixed share of the scale, how far a shaft turns
# back, a reading in a table of readings.
NO_BOUNDS = {
    *(
        ("cli/hinge.py", "share"),
        ("bridge/joint_views.py", "share"),
        ("authoring/surface/recognise.py", "share"),
    ),
    *(("report/held.py", "share"), ("signal/fit.py", "worst"), ("cli/motion.py", "lag_s")),
}
NEAREST = re.compile(r"\.[0-9]+[fF%]$")


def rounded(tree: ast.AST) -> Iterator[tuple[str, int]]:
    """Names, and their lines, of all that stands in an f-string that rounds to the nearest."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FormattedValue) and isinstance(node.format_spec, ast.JoinedStr):
            # Digits that are worked out are digits.
            parts = [getattr(part, "value", "") for part in node.format_spec.values]
            if NEAREST.search("".join(part if isinstance(part, str) else "0" for part in parts)):
                yield from named(node.value)


def named(tree: ast.AST) -> Iterator[tuple[str, int]]:
    """The names, and their lines, of variables and attributes."""
    for part in ast.walk(tree):
        if isinstance(part, ast.Attribute):
            yield part.attr, part.lineno
        elif isinstance(part, ast.Name):
            yield part.id, part.lineno


def told_to_the_nearest(tree: ast.AST) -> Iterator[tuple[str, int]]:
    """Names and lines of bounds in an f-string that rounds to the nearest, or given to a function of the module that
    puts what it is given into one."""
    rounding = {
        each.name
        for each in ast.walk(tree)
        if isinstance(each, ast.FunctionDef)
        and {name for name, _ in rounded(each)} & {argument.arg for argument in each.args.args}
    }
    given = (
        argument
        for call in ast.walk(tree)
        if isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and call.func.id in rounding
        for argument in call.args
    )
    for name, line in (*rounded(tree), *(found for each in given for found in named(each))):
        if name in BOUNDS:
            yield name, line


@pytest.mark.native
def test_no_bound_is_told_to_the_nearest() -> None:
    found = [
        (f"{file}:{line}", name)
        for module in sorted(PACKAGE.rglob("*.py"))
        for file in [str(module.relative_to(PACKAGE))]
        for name, line in told_to_the_nearest(tree(module))
        if (file, name) not in NO_BOUNDS
    ]
    assert not found, "use upward for a bound and downward for a limit"


def test_every_exception_of_the_law_is_one() -> None:
    told = {
        (file, name)
        for file in {file for file, _ in NO_BOUNDS}
        for name, _ in told_to_the_nearest(tree(PACKAGE / file))
    }
    assert told >= NO_BOUNDS


@pytest.mark.parametrize(
    "wrong",
    [
        'f"{each.share:.0%}"',
        'f"{abs(holding.most_nm):.2f}"',
        'f"{100 * share:.1f}"',
        'f"{each.peak_nm:.{digits}f}"',
        'def told(x, digits):\n    return "-" if x is None else f"{x:.{digits}f}"\ntold(abs(each.most_nm), 3)',
    ],
)
def test_the_law_sees_each_way_of_telling_one(wrong: str) -> None:
    assert list(told_to_the_nearest(ast.parse(wrong)))


positive = st.floats(1e-4, 1e3)


def number_in(cell: object) -> float:
    found = re.search(r"-?[0-9]+(?:\.[0-9]+)?", str(cell))
    assert found is not None, cell
    return float(found[0])


def held(holding_nm: float, stall_nm: float, stall_a: float) -> SheetStrength:
    row = HeldRow("base", "supply", holding_nm, True, False, stall_nm, holding_nm / stall_nm, None, stall_a)
    return SheetStrength((row,), (), "", ())


@given(positive, positive, positive)
def test_the_sheet_tells_strength_to_the_safe_side(
    holding_nm: float, stall_nm: float, stall_a: float
) -> None:
    (table,) = power_blocks(held(holding_nm, stall_nm, stall_a))
    assert isinstance(table, Table)
    _, _, holds, share, stalls, current, *_ = table.rows[0]
    assert number_in(holds) >= holding_nm - 1e-8
    assert number_in(share) >= 100 * holding_nm / stall_nm - 1e-6 and share != "0%"
    assert number_in(stalls) <= stall_nm + 1e-8
    assert number_in(current) >= stall_a - 1e-8


@given(positive, positive, positive)
def test_the_csv_of_the_sheet_tells_strength_to_the_safe_side(
    holding_nm: float, stall_nm: float, stall_a: float
) -> None:
    prop = posekit.read({"prop.toml": (CASES / "valid" / "arm.toml").read_bytes()})
    strong = held(holding_nm, stall_nm, stall_a)
    made = replace(sheet(prop), strength=strong)
    made = replace(made, outlets=made.outlets[:1], drives=made.drives[:1])
    rows = {
        row["figure"]: row["planned"]
        for row in csv.DictReader(io.StringIO(figures_csv(made).decode("utf-8-sig")))
    }
    assert float(rows["holding torque, at most"]) >= holding_nm - 1e-8
    assert float(rows["share of stall"]) >= 100 * holding_nm / stall_nm - 1e-6
    assert float(rows["stall torque"]) <= stall_nm + 1e-8
    assert float(rows["stall current"]) >= stall_a - 1e-8


@given(positive, st.floats(0.0, 1.0))
def test_a_supply_is_told_to_the_safe_side(drawn: float, left: float) -> None:
    supply = SupplyPower(
        ("base",),
        5.0,
        3.0,
        drawn,
        left,
        left,
        *[drawn] * 4,
        drawn,
        1.0,
        drawn,
        drawn,
        drawn,
        drawn,
        drawn,
        5.0,
        drawn,
    )
    told = supply_figures(supply)
    given_ = {"voltage of the supply", "current of the supply", "that stands at", "fuse for all of it"}
    spare = {"voltage at the servos, at that current": drawn}
    spare |= {f"{what} that wires leave the servos": 100 * left for what in ("torque", "speed")}
    for what, words in told.items():
        if what in spare:
            assert number_in(words) <= spare[what] + 1e-6
        elif what not in given_:
            assert number_in(words) >= drawn - 1e-8, what


def test_a_bound_that_is_none_is_told_as_it_is() -> None:
    assert (upward(float("inf")), downward(float("inf")), upward(-0.001, 1)) == ("inf", "inf", "0.0")


@pytest.mark.parametrize(
    ("fraction", "told"),
    [
        (1e-9, "less than 1"),
        (0.004, "less than 1"),
        (0.0099, "less than 1"),
        (0.01, "1"),
        (0.302, "31"),
        (1.0, "100"),
    ],
)
def test_a_range_that_is_open_is_never_told_to_be_0_percent(fraction: float, told: str) -> None:
    pair = PairVerdict(("a", "b"), ("j",), ("d",), "open", None, None, fraction, None, 9, finished=False)
    (finding,) = verdict_findings(Envelope("arm", 2.0, 1.0, (pair,)))
    assert finding.message == f"not checked to the end: {told} % of the range is not proved clear"
