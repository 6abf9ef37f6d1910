"""Modules taken straight out of an archive, and the methods of data classes that were compiled at the build."""

from __future__ import annotations

import dataclasses
import importlib
import json
import marshal
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from runtime import ahead, pack

from tests.runtime.conftest import Built

PART = """
from dataclasses import dataclass
from figure import NAME

@dataclass(frozen=True, slots=True)
class Part:
    length: float
    name: str = NAME
"""
ENTRIES = {
    "figure/__init__.py": "NAME = 'heron'",
    "figure/part.py": PART,
    "figure/bad.py": "import figure.none",
}


@pytest.fixture
def archive(tmp_path: Path) -> Iterator[Path]:
    """A folder that holds nothing but what an archive leaves lying as files; its modules are taken from memory."""
    (tmp_path / "figure").mkdir()
    (tmp_path / "figure" / "later.py").write_text("from figure.part import Part\nleg = Part(120.0)")
    files = {
        f"{name}c": pack.bytecode(name, text.encode(), pack.DOCUMENTED) for name, text in ENTRIES.items()
    }
    before = list(sys.meta_path)
    ahead.take(str(tmp_path), memoryview(b"".join(files.values())), listed(files))
    yield tmp_path
    sys.meta_path[:] = before
    for name in [name for name in sys.modules if name.split(".")[0] == "figure"]:
        del sys.modules[name]


def listed(files: dict[str, bytes]) -> str:
    return "\n".join(f"{name} {len(content)}" for name, content in files.items())


def test_modules_come_out_of_the_archive_and_files_beside_it_are_found_as_ever(archive: Path) -> None:
    part = importlib.import_module("figure.part")
    assert part.Part(2.0) == part.Part(2.0, "heron")
    assert part.__file__ == str(archive / "figure" / "part.pyc")
    assert sys.modules["figure"].__path__ == [str(archive / "figure")]
    assert importlib.import_module("figure.later").leg.length == 120.0


def test_what_is_in_neither_is_missing_by_its_name(archive: Path) -> None:
    with pytest.raises(ModuleNotFoundError) as missing:
        importlib.import_module("figure.bad")
    assert missing.value.name == "figure.none"
    with pytest.raises(ModuleNotFoundError):
        importlib.import_module("figure_none")


def test_a_text_that_was_made_ahead_is_not_compiled_and_any_other_is(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(dataclasses, "exec", None, raising=False)
    monkeypatch.setattr(sys, "meta_path", list(sys.meta_path))
    # The code says another thing than its text, which no build makes: so it is seen which of the two ran.
    made = marshal.dumps({"x = 1": marshal.dumps(compile("x = 2", "<string>", "exec"))})
    ahead.take("/", memoryview(made), listed({ahead.MADE: made}))
    ran: dict[str, int] = {}
    dataclasses.exec("x = 1", ran)  # type: ignore[attr-defined]
    assert ran["x"] == 2
    dataclasses.exec("x = 3", ran)  # type: ignore[attr-defined]
    assert ran["x"] == 3


def test_all_data_classes_that_a_page_asks_for_are_made_ahead_and_alike(built: Built) -> None:
    told = json.loads(built.run("ahead.mjs", str(built.runtime)))
    assert told["met"] == told["made"] == told["same"] > 300
