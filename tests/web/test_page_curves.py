"""The curves below the figure: zoomed, panned, read at a cursor, and a table of the same."""

from __future__ import annotations

import pytest
from playwright.sync_api import Locator

pytestmark = [pytest.mark.page, pytest.mark.python("native")]

FISHING = "shows/fishing.toml"


@pytest.fixture
def plot(bench) -> Locator:
    """The upper plot of the show of the fishing heron, drawn."""
    bench.tab("Motion").get_by_label("Show", exact=True).select_option(FISHING)
    bench.page.locator(".u-over").first.wait_for()
    bench.becomes("() => posekit.play().part !== null", True)
    return bench.page.locator(".u-over").first


def view(bench) -> tuple[float, float]:
    begin, end = bench.page.evaluate("() => [posekit.play().view.begin, posekit.play().view.end]")
    return begin, end


@pytest.mark.own_page
def test_the_library_of_the_plots_comes_only_when_a_show_is_opened(bench) -> None:
    loaded = "() => performance.getEntriesByType('resource').filter(({name}) => /chart-(?!hands)/.test(name)).length"
    assert bench.page.evaluate(loaded) == 0
    bench.tab("Motion").get_by_label("Show", exact=True).select_option(FISHING)
    bench.page.locator(".u-over").first.wait_for()
    bench.becomes(f"() => ({loaded})() > 0", True)  # the browser notes it a moment after it came


def test_the_wheel_zooms_about_the_pointer_a_drag_pans_and_home_shows_all(bench, plot) -> None:
    whole = view(bench)
    box = plot.bounding_box()
    bench.page.mouse.move(box["x"] + box["width"] / 4, box["y"] + 20)
    under = whole[0] + (whole[1] - whole[0]) / 4
    bench.page.mouse.wheel(0, -700)
    bench.becomes(f"() => posekit.play().view.end - posekit.play().view.begin < {whole[1] - whole[0]}", True)
    begin, end = view(bench)
    assert begin + (end - begin) / 4 == pytest.approx(under, abs=0.1)
    length = end - begin

    bench.page.mouse.down()
    bench.page.mouse.move(box["x"] + box["width"] / 4 - 100, box["y"] + 20, steps=5)
    bench.page.mouse.up()
    moved = view(bench)
    assert moved[1] - moved[0] == pytest.approx(length)
    assert moved[0] - begin == pytest.approx(length * 100 / box["width"], rel=0.02)
    bench.becomes(
        "() => { const {part, view} = posekit.play(); return part.begin <= view.begin && part.end >= view.end; }",
        True,
    )

    bench.page.locator(".charts__holder").focus()
    bench.page.keyboard.press("ArrowLeft")
    assert view(bench)[0] == pytest.approx(max(moved[0] - length / 4, whole[0]))
    bench.page.keyboard.press("Home")
    assert view(bench) == whole


def test_a_press_goes_to_that_time(bench, plot) -> None:
    begin, end = view(bench)
    box = plot.bounding_box()
    bench.page.mouse.click(box["x"] + box["width"] / 2, box["y"] + 20)
    time = bench.page.evaluate("() => posekit.play().time")
    assert time == pytest.approx((begin + end) / 2, abs=(end - begin) / box["width"] * 1.5)
    assert view(bench) == (begin, end)


def test_the_cursor_reads_every_curve(bench, plot) -> None:
    box = plot.bounding_box()
    bench.page.mouse.move(box["x"] + box["width"] / 2, box["y"] + 20)
    legend = bench.page.locator(".charts__legend")
    legend.get_by_text("at 0:1").wait_for()
    read = [text for text in legend.locator("output").all_inner_texts() if text]
    drawn = bench.page.evaluate(
        """() => {
            const {part: {begin, end, curves: {times, commanded, position, velocity}}} = posekit.play();
            const middle = Math.round((times.data.length - 1) / 2);
            const rows = [-2, -1, 0, 1, 2].map((off) => middle + off); // a pixel is wider than a row
            return rows.map((row) => [commanded, position, velocity].map(({data, shape}) => data[row * shape[1]]));
        }"""
    )
    shown = [float(text.replace("−", "-").split("°")[0]) for text in read[1:4]]
    assert any(shown == pytest.approx(row, rel=0.01, abs=0.06) for row in drawn)


def test_hours_of_a_recording_are_drawn_with_the_shortest_twitch_in_them(bench) -> None:
    hours = 3 * 3600
    rows = ["0,1,7,0", "5000,1,7,255", "5000.3,1,7,0", f"{hours},1,7,0"]
    bench.drop("long.csv", "\n".join(["time,universe,address,value", *rows]).encode())
    bench.tab("Motion")
    bench.page.locator(".u-over").first.wait_for()
    bench.page.get_by_label("Part of the show that is drawn").select_option("whole")
    bench.becomes(f"() => posekit.play().part?.curves.extremes && posekit.play().part.end >= {hours}", True)
    points, most = bench.page.evaluate(
        """() => {
            const {times, position} = posekit.play().part.curves;
            return [times.data.length, position.data.reduce((top, each) => Math.max(top, Math.abs(each)), 0)];
        }"""
    )
    assert points <= 1201 and most > 30.0


def test_the_table_tells_the_part_that_is_looked_at(bench, plot) -> None:
    bench.page.get_by_label("Part of the show that is drawn").select_option("5")
    panel = bench.tab("Motion")
    panel.locator("summary", has_text="Curves as a table").click()
    told = panel.get_by_role("table", name="commanded and real").get_by_role("rowheader")
    told.first.wait_for()
    rows = told.all_inner_texts()
    assert rows[0] == "0:00.00" and rows[-1].startswith("0:0") and float(rows[-1].split(":")[1]) <= 5.0
    assert len(rows) == 21
