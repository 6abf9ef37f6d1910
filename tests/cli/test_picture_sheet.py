"""`posekit export --sheet`: what it writes, and what it says where there is no browser."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import posekit
from posekit.cli import main
from posekit.prop import writer
from tests.report.test_pictures import FIGURE

pytestmark = pytest.mark.native


@pytest.fixture
def model(tmp_path: Path) -> Path:
    writer.save(FIGURE, tmp_path / "figure")
    return tmp_path / "figure"


def export(model: Path, *words: str) -> Result:
    return CliRunner().invoke(main, ["export", str(model), *words])


def test_a_sheet_to_print_needs_no_browser_and_replaces_nothing_unasked(
    model: Path, tmp_path: Path, monkeypatch
) -> None:
    monkeypatch.setenv("PATH", "")
    out = tmp_path / "looks.html"
    done = export(model, "--sheet", str(out), "--paper", "A4", "--json")
    told = json.loads(done.stdout)
    assert done.exit_code == 0, done.output
    assert told["looks"] == ["a", "far"] and "past-stop" in [each["code"] for each in told["findings"]]
    before = out.read_bytes()
    assert before.startswith(b"<!doctype html>") and b"size: 210mm 297mm" in before
    assert export(model, "a", "--sheet", str(out)).exit_code == 2 and out.read_bytes() == before
    assert export(model, "a", "--sheet", str(out), "--force").exit_code == 0 and out.read_bytes() != before


def test_what_check_tells_is_told_with_its_file(model: Path, tmp_path: Path) -> None:
    said = export(model, "a", "--sheet", str(tmp_path / "a.html")).output
    told = [each for each in posekit.check(posekit.load(model), str(model / "prop.toml"))]
    (first, *_) = [each for each in told if each.level == "warning" and each.line]
    assert str(first) in said


@pytest.mark.parametrize("ending", [".png", ".pdf"])
def test_without_a_browser_it_says_what_is_missing_and_writes_nothing(
    model: Path, tmp_path: Path, monkeypatch, ending: str
) -> None:
    monkeypatch.setenv("PATH", "")
    monkeypatch.setenv("POSEKIT_CHROMIUM", "")
    monkeypatch.setattr("posekit.cli.browser.NAMES", ("chromium",))
    done = export(model, "--sheet", str(tmp_path / f"looks{ending}"))
    assert done.exit_code == 2 and "none was found (chromium)" in done.stderr and ".html" in done.stderr
    assert list(tmp_path.iterdir()) == [model]


@pytest.mark.skipif(os.name != "posix", reason="a script by its first line")
@pytest.mark.parametrize(("script", "why"), [("exit 3", "cannot do it"), ("exit 0", "drew nothing")])
def test_a_browser_that_fails_is_told_and_nothing_is_left(
    model: Path, tmp_path: Path, monkeypatch, script: str, why: str
) -> None:
    browser = tmp_path / "browser"
    browser.write_text(f"#!/bin/sh\n{script}\n")
    browser.chmod(0o755)
    monkeypatch.setenv("POSEKIT_CHROMIUM", str(browser))
    done = export(model, "--sheet", str(tmp_path / "looks.pdf"))
    assert done.exit_code == 2 and why in done.stderr
    assert sorted(tmp_path.iterdir()) == [browser, model]


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (["--sheet", "x.gif"], ".html, .pdf, .png"),
        (["--sheet", "x.png", "-o", "x.glb"], "give one of"),
        (["-o", "x.glb", "--paper", "A4"], "--paper goes with --sheet"),
        (["nolook", "--sheet", "x.html"], "nolook"),
    ],
)
def test_wrong_use_is_told(model: Path, words: list[str], why: str) -> None:
    done = export(model, *words)
    assert done.exit_code == 2 and why in done.stderr
    assert posekit.load(model) == FIGURE
