"""How much a page weighs: in the wheel, and for who visits it first."""

from __future__ import annotations

import json
import re
import zlib
from pathlib import Path

import pytest

from posekit.serve.site import PAGE

pytestmark = [pytest.mark.page, pytest.mark.usefixtures("address")]

WHEEL_BYTES = 30e6  # as a wheel compresses it; the README names 28 MB
FIRST_VISIT_BYTES = 7.3e6
# What a first visit asks for until Python has posed the prop, whatever panel it opens with.
FIRST = re.compile(
    r"index\.html|first-paint\.js|icon\.svg|props/index\.json|runtime/(pyodide-.*|(numpy|stdlib|posekit)-\w{10}\.zip)"
    r"|assets/((index|main|three|preact|signals\.module|jsxRuntime|engine\.worker|chart-hands)-.*|light-wide-.*)"
)


def files() -> dict[str, Path]:
    return {path.relative_to(PAGE).as_posix(): path for path in PAGE.rglob("*") if path.is_file()}


def test_the_page_adds_no_more_to_the_wheel_than_is_said() -> None:
    there = files()
    assert sum(len(zlib.compress(path.read_bytes(), 6)) for path in there.values()) < WHEEL_BYTES
    assert [name for name in there if name.endswith((".map", ".gz"))] == []


def test_a_first_visit_takes_few_bytes() -> None:
    there = files()
    prop = json.loads((PAGE / "props" / "index.json").read_text())[0]
    first = [name for name in there if FIRST.fullmatch(name) and not name.endswith(".br")] + [
        prop["picture"],
        prop["folder"],
    ]
    waited_for = {name: there.get(f"{name}.br", there[name]).stat().st_size for name in first}
    assert len(waited_for) > 15
    assert sum(waited_for.values()) < FIRST_VISIT_BYTES, waited_for
