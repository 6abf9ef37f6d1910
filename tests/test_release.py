"""What a release would be: its licences, its parts, and that it builds from its own sources."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tarfile
import tomllib
import zipfile
from email.parser import Parser
from pathlib import Path

import pytest
from packaging.licenses import canonicalize_license_expression
from packaging.requirements import Requirement

ROOT = Path(__file__).parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
CORE_BYTES = 1 << 20  # the wheel without the page: half of this, so that servers and CI have little to fetch
pytestmark = pytest.mark.native


def test_the_licence_is_an_expression_that_names_every_licence_in_the_notices() -> None:
    expression = PROJECT["license"]
    assert canonicalize_license_expression(expression) == expression
    rows = (ROOT / "web" / "NOTICES.md").read_text().split("|---|---|---|---|")[1].split("\n\n")[0]
    told = " ".join(row.split("|")[3] for row in rows.strip().splitlines())
    known = set(re.findall(r"\b(?:[A-Z][A-Za-z]*[0-9]*-[0-9.]+(?:-Clause|-only)?|MIT|Zlib|0BSD)\b", told))
    assert known >= {"MIT", "MPL-2.0", "PSF-2.0", "BSD-3-Clause"}
    assert known - set(re.findall(r"[A-Za-z0-9.-]+", expression)) == set()


def test_every_package_is_asked_for_once() -> None:
    asked = [*PROJECT["dependencies"], *PROJECT["optional-dependencies"]["test"]]
    names = [Requirement(line).name for line in asked]
    assert len(names) == len(set(names)), names


@pytest.fixture(scope="module")
def released(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """The sdist of this tree, and the wheel without the page that is built from what the sdist holds."""
    place = tmp_path_factory.mktemp("release")
    environment = {**os.environ, "POSEKIT_PAGE": "skip"}

    def built(kind: str, folder: Path) -> Path:
        before = set(place.iterdir())
        words = [sys.executable, "-m", "hatchling", "build", "-t", kind, "-d", str(place)]
        subprocess.run(words, cwd=folder, env=environment, check=True, capture_output=True, timeout=120)
        (made,) = set(place.iterdir()) - before
        return made

    sdist = built("sdist", ROOT)
    with tarfile.open(sdist) as archive:
        # Python 3.11 knows the filter from 3.11.4 on, and has no warning without it.
        safely = {"filter": "data"} if hasattr(tarfile, "data_filter") else {}
        archive.extractall(place / "unpacked", **safely)
    (sources,) = (place / "unpacked").iterdir()
    return sdist, built("wheel", sources)


def test_the_sources_of_a_release_hold_the_tests_and_the_page_but_nothing_that_was_built(
    released: tuple[Path, Path],
) -> None:
    with tarfile.open(released[0]) as archive:
        names = {name.split("/", 1)[1] for name in archive.getnames()}
    assert {
        "tests/run",
        "web/page.py",
        "web/index.html",
        "models/heron/prop.toml",
        "posekit/paths.py",
    } <= names
    assert not [name for name in names if name.startswith(("posekit/page", "web/node_modules", "web/.cache"))]


def test_a_wheel_without_the_page_is_small_runs_alone_and_says_what_it_lacks(
    released: tuple[Path, Path], tmp_path: Path
) -> None:
    wheel = released[1]
    assert wheel.stat().st_size < CORE_BYTES
    with zipfile.ZipFile(wheel) as archive:
        names = archive.namelist()
        (about,) = [name for name in names if name.endswith(".dist-info/METADATA")]
        said = Parser().parsestr(archive.read(about).decode())
        (entry,) = [name for name in names if name.endswith("entry_points.txt")]
        assert "posekit = posekit.command:main" in archive.read(entry).decode()
        archive.extractall(tmp_path)
    assert said["License-Expression"] == PROJECT["license"]
    assert "posekit/py.typed" in names
    assert not [name for name in names if name.startswith("posekit/page")]
    start = [sys.executable, "-c", "from posekit.command import main; main()"]
    environment = {**os.environ, "PYTHONPATH": str(tmp_path)}

    def run(*words: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [*start, *words], cwd=tmp_path, env=environment, capture_output=True, text=True, timeout=120
        )

    assert run("pose", str(ROOT / "models" / "heron"), "alert").returncode in (0, 1)
    shown = run("show", "--no-open")
    assert shown.returncode == 2 and "without POSEKIT_PAGE=skip" in shown.stderr
