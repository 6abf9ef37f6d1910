"""Two tabs of one browser: one edits, the others look on, and nothing of either is lost."""

from __future__ import annotations

from pathlib import Path

import pytest

import posekit
from posekit.pipeline import pose_at
from tests.conftest import demo_prop

pytestmark = [pytest.mark.page, pytest.mark.python("native"), pytest.mark.own_page, pytest.mark.timeout(600)]

HERON = demo_prop("heron")
REST = {drive.name: drive.rest_value for drive in HERON.drives}
ARM = (Path(__file__).parents[1] / "cases" / "valid" / "arm.toml").read_bytes()


# Those that the page sets itself for as long as the other tab may be silent, and has not taken back.
WAITS = """() => {
    const [set, clear] = [window.setTimeout, window.clearTimeout];
    window.waits = new Set();
    window.setTimeout = (doing, after, ...more) => {
        const timer = set(doing, after, ...more);
        if (after === 5000) waits.add(timer);
        return timer;
    };
    window.clearTimeout = (timer) => {
        waits.delete(timer);
        clear(timer);
    };
}"""


def pose_with(**values: int) -> posekit.Pose:
    return pose_at(HERON, list({**REST, **values}.values()))


def turn_head(bench, value: int) -> None:
    bench.page.get_by_label("head_turn", exact=True).fill(str(value))


@pytest.fixture
def other(bench, bench_of):
    """A second tab on the same work, which looks on."""
    bench.page.get_by_text("Saved in this browser").wait_for()
    page = bench.page.context.new_page()
    page.goto(bench.address)
    other = bench_of(page)
    other.posed()
    return other


def edits(bench, where: str) -> None:
    bench.becomes("() => document.documentElement.dataset.edits", where)


def test_one_tab_edits_and_the_other_looks_on_until_it_takes_over(bench, other, shot) -> None:
    told = other.page.get_by_text("This work is open in another tab")
    told.wait_for()
    shot(other, "onlooker")
    edits(bench, "here")
    edits(other, "elsewhere")
    turn_head(bench, 200)
    other.stands_as(pose_with(head_turn=200))
    # Nothing changes here, by whichever way it comes, and that is told.
    other.drop("arm.toml", ARM)
    other.page.get_by_role("alert").get_by_text("open in another tab").wait_for()
    other.page.get_by_role("button", name="Undo").click(force=True)
    assert other.page.evaluate("document.querySelector('#panels').inert") is True
    assert other.work() == bench.work()
    # The other way round, by keyboard.
    button = other.page.get_by_role("button", name="Edit here")
    button.focus()
    other.page.keyboard.press("Enter")
    edits(other, "here")
    edits(bench, "elsewhere")
    assert other.page.evaluate("document.querySelector('#panels').inert") is False
    turn_head(other, 90)
    bench.stands_as(pose_with(head_turn=90))
    other.page.get_by_text("Saved in this browser").wait_for()
    # Whoever is left edits, with all that was made in either tab.
    other.page.close()
    edits(bench, "here")
    bench.stands_as(pose_with(head_turn=90))
    bench.page.get_by_role("button", name="Undo").click()
    bench.stands_as(pose_with(head_turn=200))


def test_a_tab_that_does_not_let_go_is_told_of(bench, other) -> None:
    # As one that stands still hears nothing.
    other.page.evaluate("() => void (BroadcastChannel.prototype.postMessage = () => undefined)")
    other.page.evaluate(WAITS)
    for _ in range(2):
        other.page.get_by_role("button", name="Edit here").click()
    assert other.page.evaluate("() => waits.size") == 1, "patience counts from the last press"
    other.page.get_by_text("The other tab has not answered yet.").wait_for()
    edits(other, "elsewhere")
    bench.page.close()
    edits(other, "here")
    other.page.get_by_text("has not answered yet").wait_for(state="detached")


def test_a_reload_of_either_tab_loses_nothing_of_the_other(bench, other) -> None:
    turn_head(bench, 200)
    other.page.reload()
    other.posed()
    edits(other, "elsewhere")
    other.stands_as(pose_with(head_turn=200))
    turn_head(bench, 60)
    bench.page.reload()
    bench.posed()
    edits(other, "here")  # it was next in the row
    edits(bench, "elsewhere")
    assert other.work()["values"]["head_turn"] == 60
    bench.stands_as(pose_with(head_turn=60))


def test_while_a_figure_is_built_tabs_notice_each_other_and_a_reload_loses_no_act(bench, other) -> None:
    """Each tab does what the other has not done yet, on what it has done; all of it can be undone in either."""
    texts = [bench.work()["text"]]

    def made(where) -> None:
        for _ in where.looks():
            if (text := where.work()["text"]) != texts[-1]:
                break
        where.quiet()
        texts.append(text := where.work()["text"])
        for each in (bench, other):
            each.becomes("() => globalThis.posekit?.work().text", text)

    page = bench.page
    page.get_by_role("button", name="New", exact=True).click()
    dialog = page.get_by_role("dialog", name="New prop")
    dialog.get_by_role("button", name="Begin from nothing").click()
    dialog.get_by_role("button", name="Make this prop").click()
    made(bench)
    panel = bench.tab("Drives")
    panel.get_by_role("button", name="shoulder").first.click()
    panel.get_by_label("Name", exact=True).fill("nod")
    page.reload()  # in the middle of typing: what was typed is kept, and the other tab edits now
    bench.posed()
    edits(other, "here")
    made(other)
    assert "[drives.nod]" in texts[-1]
    panel = other.tab("Drives")
    panel.get_by_role("button", name="nod").first.click()
    panel.get_by_label("Name", exact=True).fill("bow")
    panel.get_by_label("Name", exact=True).press("Enter")
    made(other)
    assert "[drives.bow]" in texts[-1]
    page.get_by_role("button", name="Edit here").click()
    edits(bench, "here")
    edits(other, "elsewhere")
    for text in texts[-2::-1]:
        page.get_by_role("button", name="Undo").click()
        for each in (bench, other):
            each.becomes("() => posekit.work().text", text)


def test_a_copy_is_a_bench_of_its_own(bench, other, shot) -> None:
    turn_head(bench, 200)
    other.stands_as(pose_with(head_turn=200))
    other.page.get_by_role("button", name="Work on a copy").click()
    edits(other, "here")
    other.posed()
    other.stands_as(pose_with(head_turn=200))
    turn_head(other, 40)
    turn_head(bench, 210)
    for each in (bench, other):
        each.page.get_by_text("Saved in this browser").wait_for()
        each.page.reload()
        each.posed()
    assert bench.work()["values"]["head_turn"] == 210
    assert other.work()["values"]["head_turn"] == 40
    # A bench that no tab stands at is found again.
    other.page.close()
    bench.page.get_by_role("button", name="Open", exact=True).click()
    kept = bench.page.get_by_role("dialog", name="Open").get_by_role("list", name="Kept in this browser")
    kept.get_by_role("button", name="Marsh heron").wait_for()
    shot(bench, "kept-benches")
    kept.get_by_role("button", name="Marsh heron").click()
    bench.becomes("() => globalThis.posekit?.work().values.head_turn", 40)


def test_a_link_in_a_second_tab_leaves_the_work_of_the_first_alone(bench, bench_of) -> None:
    turn_head(bench, 200)
    bench.served_for("anyone")
    bench.page.get_by_role("button", name="Share").click()
    bench.page.get_by_text("characters").wait_for()
    link = bench.page.get_by_role("textbox", name="Link").input_value()
    bench.page.keyboard.press("Escape")
    turn_head(bench, 30)
    page = bench.page.context.new_page()
    page.goto(link)
    other = bench_of(page)
    other.posed()
    edits(other, "here")
    other.stands_as(pose_with(head_turn=200))
    turn_head(other, 201)
    assert bench.work()["values"]["head_turn"] == 30
    for each, value in ((bench, 30), (other, 201)):
        each.page.reload()
        each.posed()
        assert each.work()["values"]["head_turn"] == value
