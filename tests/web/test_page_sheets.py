"""Sheets and setting cards in the page and on paper: looked at, saved, printed to PDF, and read back filled in."""

from __future__ import annotations

import re
from base64 import b64encode
from pathlib import Path

import pytest
from click.testing import CliRunner

import posekit
from posekit.budgets import MEASURED_BYTES
from posekit.cli import main
from posekit.report.figures import figures_csv
from posekit.report.sheet import sheet
from posekit.report.sheet_document import sheet_html
from tests.conftest import demo_prop
from tests.web.conftest import CHROMIUM, KEEP_PICTURES, PICTURES

pytestmark = [pytest.mark.page, pytest.mark.python("native")]

HERON = demo_prop("heron")
SIZES = {"A4": (595, 842), "Letter": (612, 792)}  # points: 210 x 297 mm, 8.5 x 11 in
HOSTILE = "<img src=x onerror=document.title='hit'></script>‮"


def in_the_look(bench) -> str:
    """What stands in the document that is looked at."""
    return bench.page.evaluate("() => document.querySelector('.paper')?.shadowRoot?.textContent ?? ''")


def test_a_button_out_of_use_while_its_sheet_is_made_keeps_the_focus(bench) -> None:
    panel = bench.tab("Sheets")
    button = panel.get_by_role("button", name="CSV to fill in")
    button.focus()
    with bench.page.expect_download() as saved:
        bench.page.keyboard.press("Enter")
        panel.get_by_text("Proving what the servos hold at most").wait_for()
        assert button.get_attribute("aria-disabled") == "true"
        bench.page.keyboard.press("Enter")  # does nothing now
        assert button.evaluate("(each) => each === document.activeElement")
    assert saved.value.suggested_filename.endswith(".csv")
    for _ in bench.looks():
        if button.get_attribute("aria-disabled") is None:
            break
    assert button.get_attribute("aria-disabled") is None
    assert button.evaluate("(each) => each === document.activeElement")


def test_sheets_and_cards_are_looked_at_saved_and_compared(bench, shot, tmp_path) -> None:
    panel = bench.tab("Sheets")
    panel.get_by_label("Strength and supply").uncheck()
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


def test_the_sheets_tell_of_strength_and_supply(bench) -> None:
    panel = bench.tab("Sheets")
    panel.get_by_role("button", name="Show the sheets").click()
    panel.get_by_text("Proving what the servos hold at most").wait_for()
    bench.page.get_by_role("heading", name="Marsh heron sheets").wait_for()
    for _ in bench.looks():
        if "holds at most" in in_the_look(bench):
            break
    assert "share of stall" in in_the_look(bench)
    assert re.search(r"fuse [\d.]+ A", in_the_look(bench))


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


def size_of(png: bytes) -> tuple[int, int]:
    assert png.startswith(b"\x89PNG")
    return int.from_bytes(png[16:20], "big"), int.from_bytes(png[20:24], "big")


@pytest.mark.parametrize("setting", [{"drawn": True}], indirect=True)
def test_the_picture_sheet_is_made_look_by_look_stopped_printed_and_saved_as_a_picture(bench, shot) -> None:
    panel = bench.tab("Sheets")
    panel.get_by_role("button", name="Show the picture sheet").click()
    panel.get_by_role("button", name="Stop").click()  # after the look that is being drawn
    panel.get_by_role("button", name="Show the picture sheet").wait_for()
    assert bench.page.get_by_role("heading", name="Marsh heron picture sheet").count() == 0
    panel.get_by_role("button", name="Show the picture sheet").click()
    bench.page.get_by_role("heading", name="Marsh heron picture sheet").wait_for()
    count = "() => document.querySelector('.paper')?.shadowRoot?.querySelectorAll('svg image').length"
    bench.becomes(count, 3 * 7)
    assert "wings_open" in in_the_look(bench) and "200 mm" in in_the_look(bench)
    shot(bench, "picture-sheet")
    with bench.page.expect_download() as saved:
        bench.page.get_by_role("button", name="Save as PNG").click()
    assert saved.value.suggested_filename == "Marsh heron picture sheet.png"
    png = saved.value.path().read_bytes()
    width, height = size_of(png)
    assert width == 1600 and height > 7 * 490, "seven rows of pictures"
    # The figures are in it: bare rows would have a few colours.
    counted = """async text => {
        const bytes = Uint8Array.from(atob(text), (sign) => sign.charCodeAt(0));
        const picture = await createImageBitmap(new Blob([bytes], {type: "image/png"}));
        const pen = new OffscreenCanvas(picture.width, picture.height).getContext("2d");
        pen.drawImage(picture, 0, 0);
        return new Set(new Uint32Array(pen.getImageData(0, 0, picture.width, picture.height).data.buffer)).size;
    }"""
    assert bench.page.evaluate(counted, b64encode(png).decode()) > 5000
    if KEEP_PICTURES:
        (PICTURES / "picture-sheet-saved.png").write_bytes(png)
    bench.page.get_by_role("button", name="Close").click()


def test_the_command_draws_it_by_a_browser_on_its_paper_or_as_one_picture(tmp_path, monkeypatch) -> None:
    monkeypatch.setenv("POSEKIT_CHROMIUM", CHROMIUM)
    folder = Path(__file__).parents[2] / "models" / "heron"
    for name, size in (("looks.pdf", "A4"), ("letter.pdf", "Letter"), ("looks.png", None)):
        words = ["--sheet", str(tmp_path / name), *(("--paper", size) if size else ())]
        done = CliRunner().invoke(main, ["export", str(folder), "alert", "preen", *words])
        assert done.exit_code == 0, done.output
        content = (tmp_path / name).read_bytes()
        if size is None:
            width, height = size_of(content)
            assert width == 1600 and 2 * 490 < height < 3000
        else:
            boxes = [box.split()[2:] for box in re.findall(rb"/MediaBox \[([^\]]+)\]", content)]
            assert {tuple(round(float(each)) for each in box) for box in boxes} == {SIZES[size]}
    assert sorted(path.name for path in tmp_path.iterdir()) == ["letter.pdf", "looks.pdf", "looks.png"]
