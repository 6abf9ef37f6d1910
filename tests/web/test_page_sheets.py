"""Sheets and setting cards in the page and on paper: looked at, saved, printed to PDF, and read back filled in."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import posekit
from posekit.budgets import MEASURED_BYTES
from posekit.report.figures import figures_csv
from posekit.report.sheet import sheet
from posekit.report.sheet_document import sheet_html

pytestmark = pytest.mark.page

HERON = posekit.load(Path(__file__).parents[2] / "models" / "heron")
SIZES = {"A4": (595, 842), "Letter": (612, 792)}  # points: 210 x 297 mm, 8.5 x 11 in
HOSTILE = "<img src=x onerror=document.title='hit'></script>‮"


def in_the_look(bench) -> str:
    """What stands in the document that is looked at."""
    return bench.page.evaluate("() => document.querySelector('.paper')?.shadowRoot?.textContent ?? ''")


def test_sheets_and_cards_are_looked_at_saved_and_compared(bench, shot, tmp_path) -> None:
    panel = bench.tab("Sheets")
    panel.get_by_role("button", name="Show the sheets").click()
    bench.page.get_by_role("heading", name="Marsh heron sheets").wait_for()
    for _ in bench.looks():
        if "Calibration: value to degrees" in in_the_look(bench):
            break
    assert "neck_base" in in_the_look(bench) and "2433" in in_the_look(bench)
    shot(bench, "sheets")
    with bench.page.expect_download() as saved:
        bench.page.get_by_role("button", name="Save as HTML").click()
    assert saved.value.path().read_bytes().startswith(b"<!doctype html>")
    bench.page.get_by_role("button", name="Close").click()

    with bench.page.expect_download() as saved:
        panel.get_by_role("button", name="CSV to fill in").click()
    content = saved.value.path().read_bytes()
    assert content == figures_csv(sheet(HERON))  # of this prop, figure by figure as the command writes it

    filled = tmp_path / "filled.csv"
    filled.write_bytes(re.sub(rb'("beak","","low pulse",1500,"us",)""', rb"\g<1>1480", content))
    panel.get_by_label("A CSV of the sheets that was filled in").set_input_files(filled)
    panel.get_by_text("1 of 128 figures measured").wait_for()
    assert "it would become 1480" in panel.inner_text()
    assert bench.work()["text"] == HERON.text  # nothing was changed

    panel.get_by_role("button", name="Show setting cards").click()
    bench.page.get_by_role("heading", name="Marsh heron setting cards").wait_for()
    for _ in bench.looks():
        if "Towards high" in in_the_look(bench):
            break
    count = "() => document.querySelector('.paper').shadowRoot.querySelectorAll('svg').length"
    assert bench.page.evaluate(count) == 3 * len(HERON.drives)
    shot(bench, "cards")
    bench.page.evaluate(
        "() => (window.print = () => "
        "(window.printed = document.querySelector('#printed').shadowRoot.textContent))"
    )
    bench.page.get_by_role("button", name="Print").click()
    bench.becomes("() => window.printed.includes('setting cards')", True)
    bench.page.evaluate("() => window.dispatchEvent(new Event('afterprint'))")
    bench.becomes("() => document.querySelector('#printed')", None)
    bench.page.get_by_role("button", name="Close").click()

    large = tmp_path / "large.csv"
    large.write_bytes(b"0" * (MEASURED_BYTES + 1))  # not even read
    panel.get_by_label("A CSV of the sheets that was filled in").set_input_files(large)
    bench.page.get_by_text("a filled-in sheet has 1 MB at most").wait_for()


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_paper_is_of_its_size_and_no_name_does_anything(profile, tmp_path, size) -> None:
    text = HERON.text.replace('name = "Marsh heron"', f'name = "{HOSTILE}"')
    place = tmp_path / "sheets.html"
    place.write_bytes(
        sheet_html(sheet(posekit.read({**HERON.files, "prop.toml": text.encode()})), "2026-11-26", size)
    )
    page = profile.new_page()
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.goto(place.as_uri())
    assert "<img" in page.title() and page.locator("img, script").count() == 0
    assert page.locator("table").first.evaluate("e => getComputedStyle(e).borderCollapse") == "collapse"
    assert said == []  # the policy lets its own style through, and has nothing to refuse
    page.set_viewport_size({"width": 390, "height": 844})
    assert page.evaluate("() => document.documentElement.scrollWidth") <= 390
    content = page.pdf(prefer_css_page_size=True)
    page.close()
    boxes = [box.split()[2:] for box in re.findall(rb"/MediaBox \[([^\]]+)\]", content)]
    assert {tuple(round(float(each)) for each in box) for box in boxes} == {SIZES[size]}
    assert 2 <= len(re.findall(rb"/Type /Page\b(?!s)", content)) <= 4
