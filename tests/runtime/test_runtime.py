"""The archives that a page fetches: what is in them, and that they pose props as this machine does."""

from __future__ import annotations

import hashlib
import json
import re
import subprocess
import sys
import zipfile
from pathlib import Path

import numpy as np
import pytest
from runtime import fetch, pack

import posekit
from posekit.pipeline import pose_at
from tests.conftest import DEMO_PROPS, demo_prop
from tests.runtime.conftest import ROOT, Built

PYTHON_313_MAGIC = 3571  # CPython's Include/internal/pycore_magic_number.h, 3.13 final


def archives(built: Built) -> list[Path]:
    manifest = built.manifest()
    entries = [manifest["stdlib"], *manifest["first"], *manifest["later"].values()]
    return [built.runtime / file for file in sorted({entry["file"] for entry in entries})]


def test_the_name_of_every_archive_carries_the_hash_of_its_content(built: Built) -> None:
    for archive in archives(built):
        assert archive.stem.endswith(hashlib.sha256(archive.read_bytes()).hexdigest()[:10])


def test_the_page_holds_the_runtime_as_it_was_built(built: Built) -> None:
    for archive in archives(built):
        assert (built.page / "runtime" / archive.name).read_bytes() == archive.read_bytes()


def test_modules_are_bytecode_that_is_taken_without_a_look_at_a_source(built: Built) -> None:
    for archive in archives(built):
        with zipfile.ZipFile(archive) as file:
            names = file.namelist()
            assert not [name for name in names if name.endswith(".py")]
            for name in names:
                if name.endswith(".pyc"):
                    head = file.read(name)[:8]
                    assert int.from_bytes(head[:2], "little") == PYTHON_313_MAGIC
                    assert head[4:8] == (1).to_bytes(4, "little")  # PEP 552: by hash, not checked


def test_the_core_in_the_page_is_the_whole_core_without_command_line_server_and_page(built: Built) -> None:
    (archive,) = built.runtime.glob("posekit-*.zip")
    with zipfile.ZipFile(archive) as file:
        there = {name.removesuffix("c") for name in file.namelist()}
    sources = {path.relative_to(ROOT).as_posix() for path in (ROOT / "posekit").rglob("*.py")}
    elsewhere = ("posekit/cli/", "posekit/page/", "posekit/serve/")
    of_the_build = {"ahead.py", "made-ahead.bin"}
    assert there == {name for name in sources if not name.startswith(elsewhere)} | of_the_build


def test_nothing_of_the_package_that_carries_numpy_is_in_the_page_but_numpy(built: Built) -> None:
    for archive in built.runtime.glob("numpy*.zip"):
        with zipfile.ZipFile(archive) as file:
            assert {name.split("/")[0].split("-")[0] for name in file.namelist()} == {"numpy"}


@pytest.mark.parametrize("name", DEMO_PROPS)
def test_a_demo_prop_stands_in_the_page_as_it_does_here(built: Built, name: str) -> None:
    poses = json.loads(built.run("poses.mjs", str(built.runtime), str(ROOT / "models"), name))[name]
    prop = demo_prop(name)
    for share, there in zip((0.0, 0.3, 0.71, 1.0), poses, strict=True):
        here = pose_at(prop, [round(share * drive.full_scale) for drive in prop.drives])
        assert there["pulses"] == dict(here.pulses)
        # Sines differ in the last bit from one library of mathematics to the next.
        np.testing.assert_allclose(
            list(there["joints"].values()), list(here.joints.values()), rtol=1e-12, atol=1e-12
        )
        for link, matrix in here.links.items():
            scale = max(1.0, np.abs(matrix).max())
            np.testing.assert_allclose(there["links"][link], matrix, rtol=0, atol=1e-12 * scale)
        clearance = posekit.clearance.distances(prop, here.positions(prop))[0]
        np.testing.assert_allclose(there["clearance"], clearance, rtol=1e-9, atol=1e-6)


def test_what_a_page_asks_first_is_in_the_python_that_comes_first() -> None:
    """A module that a page fetches only for a request that wants it cannot be fetched before there are requests."""
    asked = "import sys; had = set(sys.modules); import posekit.bridge; print(' '.join({*sys.modules} - had))"
    done = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    loaded = done.stdout.split()
    assert "posekit.bridge.dispatch" in loaded
    assert [name for name in loaded if pack.SELDOM.match(f"{name}.py")] == []


def test_pyodide_exports_what_is_asked_for_and_little_else(built: Built) -> None:
    package = str(ROOT / "web" / "node_modules" / "pyodide")
    told = json.loads(built.run("exported.mjs", str(built.runtime), package))
    assert told["linked"] > 10  # NumPy's own, and Pyodide itself
    assert told["missing"] == []
    assert told["has"] < 0.2 * told["had"]
    words = set(re.findall(r"\w+", told["loader"]))
    assert not words & {f"_{name}" for name in told["dropped"]}


def test_a_numpy_wheel_with_another_hash_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    local = tmp_path / "other.whl"
    local.write_bytes(b"not the pinned one")
    monkeypatch.setenv("POSEKIT_NUMPY_WHEEL", str(local))
    with pytest.raises(SystemExit, match="SHA-256"):
        fetch.fetch_numpy(tmp_path / "wheels", ["npm-is-not-asked"])
    assert not list((tmp_path / "wheels").glob("numpy-*"))


def test_the_pins_name_a_hash_for_every_wheel() -> None:
    for pins in (ROOT / "web" / "runtime" / "wheels.txt", Path(__file__).parent / "wheels.txt"):
        lines = [line.strip() for line in pins.read_text().splitlines() if not line.startswith("#")]
        wheels = " ".join(lines).replace("\\", "").split()
        assert wheels and all("==" in name for name in wheels[::2])
        assert all(value.startswith("--hash=sha256:") and len(value) == 78 for value in wheels[1::2])
