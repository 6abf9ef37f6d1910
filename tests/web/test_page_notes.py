"""A director's notes on the page: they come in, stand at their part, lead to look and time, and are ticked off."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Locator, expect

import posekit
from posekit.mechanism.joints import mechanism_of
from posekit.prop.fingerprint import fingerprint, for_people
from posekit.prop.notes import kept_notes, read_notes
from posekit.report.beside import beside
from tests.web.conftest import HERON, SLOW_MS, Bench, picture_from_link
from tests.web.test_director_file import opened
from tests.web.test_page_access import serious

pytestmark = [pytest.mark.native, pytest.mark.page, pytest.mark.python("native")]

HOSTILE = "<img src=x onerror=\"document.title='struck'\"></script>\u202e"
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}

RULERS = """() => [...document.querySelectorAll(".beside__picture")].map((picture) =>
    [...picture.querySelectorAll(".label--ruler")].map((label) => label.style.transform).join())"""


def notes() -> list[dict[str, Any]]:
    """To a look at a point of a part, to a time of a show, to the figure by someone hostile, to a part that is gone."""
    made = {"made": "2026-11-26T10:00:00Z", "kind": "note"}
    given: list[dict[str, Any]] = [
        {
            "kind": "change",
            "look": "alert",
            "part": "head",
            "point_mm": [20, 0, 20],
            "text": "lower",
            "by": "Ann",
        },
        {"show": "dusk", "time_s": 4.2, "text": "too late"},
        {"text": HOSTILE + "x" * 9_900, "by": HOSTILE},
        {"part": HOSTILE, "text": "where is it?"},
    ]
    return [{**made, **each, "id": f"{number:032x}"} for number, each in enumerate(given, 1)]


def taken_out(of: posekit.Prop, given: list[dict[str, Any]]) -> bytes:
    top = {"posekit_notes": 1, "prop": of.name, "fingerprint": fingerprint(of), "file_made": "2026-11-26"}
    return json.dumps({**top, "notes": given}).encode()


def item(panel: Locator, number: int) -> Locator:
    return panel.get_by_role("listitem", name=f"Note {number},")


def test_notes_stand_at_their_part_lead_to_their_look_and_time_and_each_step_is_undone(bench: Bench) -> None:
    heron, page = posekit.load(HERON), bench.page
    bench.drop("heron-notes.json", taken_out(heron, notes()))
    page.get_by_text("Notes: 4 new.").wait_for()
    panel = page.get_by_role("tabpanel", name="Notes")
    expect(panel.get_by_role("status")).to_have_text("4 open, 0 done.")
    expect(item(panel, 3)).to_contain_text("<img src=x onerror=")
    expect(item(panel, 4)).to_contain_text("this prop has no part")
    assert page.locator(".note img").count() == 0 and "\u202e" not in panel.inner_text()
    assert serious(bench) == []

    item(panel, 1).get_by_role("button", name="Show note 1").click()
    look = posekit.Snapshot.read(HERON / "looks" / "alert.csv")
    bench.stands_as(posekit.pose(heron, look))
    assert page.evaluate("() => posekit.outlined()") == "head"
    pin = page.locator(".label--pin")
    expect(pin).to_have_text("▲ 1")
    at = (picture_from_link(posekit.pose(heron, look).links["head"]) @ [0.02, 0.0, 0.02, 1.0])[:3].tolist()
    for _ in bench.looks():
        x, y = page.evaluate("at => posekit.seen(at)", at)
        box = pin.bounding_box()
        if box and abs(box["x"] - x) < 12 and abs(box["y"] + box["height"] / 2 - y) < 12:
            break
    else:
        raise AssertionError("the mark does not stand at the head")
    item(panel, 2).get_by_role("button", name="Show note 2").click()
    bench.becomes("() => Math.round(posekit.play().time * 10)", 42)

    item(panel, 1).get_by_role("button", name="Tick off note 1").press("Enter")
    expect(panel.get_by_role("status")).to_have_text("3 open, 1 done.")
    expect(item(panel, 1)).to_be_focused()  # the button that was pressed is gone
    expect(pin).to_have_count(0)
    answer = panel.get_by_label("Answer to note 1")
    answer.fill("by 10 degrees")
    answer.press("Tab")
    bench.quiet()
    (first, *_) = read_notes(page.evaluate("() => posekit.file('notes.json')").encode())
    assert (first.state, first.answer) == ("done", "by 10 degrees")
    for left in ("3 open, 1 done.", "4 open, 0 done."):
        page.get_by_role("button", name="Undo").click()
        expect(panel.get_by_role("status")).to_have_text(left)

    # One is removed for good, and brought back: the focus goes to the one that came after it.
    item(panel, 2).get_by_role("button", name="Remove note 2").press("Enter")
    expect(panel.get_by_role("status")).to_have_text("3 open, 0 done.")
    expect(item(panel, 2)).to_contain_text("<img src=x onerror=")
    expect(item(panel, 2)).to_be_focused()
    assert len(read_notes(page.evaluate("() => posekit.file('notes.json')").encode())) == 3
    page.get_by_role("button", name="Undo").click()
    expect(panel.get_by_role("status")).to_have_text("4 open, 0 done.")
    expect(item(panel, 2)).to_contain_text("too late")
    page.get_by_role("button", name="Undo").click()  # the look
    page.get_by_role("button", name="Undo").click()
    expect(panel.get_by_text("No notes yet.")).to_be_visible()
    assert page.title() != "struck" and "notes.json" not in page.evaluate("() => posekit.paths()")


def directors_file(bench: Bench, place: Path) -> Path:
    """The file that Share saves of the prop as it is in the page."""
    bench.page.get_by_role("button", name="Share").click()
    section = bench.page.get_by_role("region", name="A file for the director")
    with bench.page.expect_download(timeout=SLOW_MS) as saved:
        section.get_by_role("button", name="Save the director's file").click()
    place.write_bytes(saved.value.path().read_bytes())
    bench.page.get_by_role("dialog", name="Share").get_by_role("button", name="Close").click()
    return place


@pytest.mark.own_page
def test_a_directors_walk(bench: Bench, browsers: Callable[[bool], Browser], tmp_path: Path) -> None:
    """The builder saves the file in the page, the director notes, the builder sees it, renames the part, ticks off and
    answers, saves the next file, and the director sees in it what became of the note."""
    first = directors_file(bench, tmp_path / "first.html")
    with opened(browsers(False), first, PHONE) as director:
        director.get_by_role("button", name="alert").first.click()
        director.get_by_role("button", name="Ask for a change").click()
        director.get_by_label("Part", exact=True).select_option(label="head")
        director.get_by_label("What should change?").fill("lower")
        director.get_by_role("button", name="Add the change").click()
        with director.expect_download() as saved:
            director.get_by_role("button", name="Download notes").click()
        came = saved.value.path().read_bytes()
        director.get_by_role("button", name="Copy as text").click()
        message = director.get_by_label("Notes as text").input_value()

    page = bench.page
    bench.drop("Marsh heron-notes.json", came)
    panel = page.get_by_role("tabpanel", name="Notes")
    expect(item(panel, 1)).to_contain_text("look alert, part head")
    expect(page.locator(".label--pin")).to_have_text("▲ 1")
    panel.get_by_text("Bring notes in").click()
    panel.get_by_label("Or paste the whole message").fill(f"Hello\n> {message}".replace("\n", "\n> "))
    panel.get_by_role("button", name="Add these notes").click()
    page.get_by_text("Notes: 1 here already.").wait_for()

    parts = bench.tab("Parts")
    parts.locator("[role=treeitem]").filter(has=page.get_by_text("head", exact=True)).click()
    parts.get_by_role("button", name="Rename").click()
    parts.get_by_label("New name of head").fill("skull")
    parts.get_by_role("button", name="Rename it").click()
    bench.quiet()
    panel = bench.tab("Notes")
    expect(item(panel, 1)).to_contain_text("the part 'skull' was called 'head'")
    expect(item(panel, 1)).to_contain_text("the prop has changed since the file of")
    panel.get_by_role("button", name="Tick off note 1").click()
    panel.get_by_label("Answer to note 1").fill("by 10 degrees")
    panel.get_by_label("Answer to note 1").press("Tab")
    bench.quiet()
    page.reload()
    bench.posed()
    bench.quiet()
    paths = page.evaluate("() => posekit.paths()")
    prop = posekit.read({path: bytes(page.evaluate("path => posekit.bytes(path)", path)) for path in paths})
    (kept,) = kept_notes(prop)
    assert (kept.part, kept.part_was, kept.state, kept.answer) == ("skull", "head", "done", "by 10 degrees")

    following = directors_file(bench, tmp_path / "next.html")
    with opened(browsers(False), following, PHONE) as director:
        # Of the figure as it is now, so that the file before is known as old.
        told = director.get_by_role("banner").inner_text()
        assert for_people(fingerprint(prop)) in told and fingerprint(prop) != fingerprint(posekit.load(HERON))
        listed = director.get_by_role("region", name="Earlier notes")
        expect(listed).to_contain_text("0 open, 1 done")
        expect(listed).to_contain_text("by 10 degrees")
        expect(listed).to_contain_text("lower")


def test_two_looks_stand_side_by_side_seen_from_one_place_with_what_differs(bench: Bench) -> None:
    heron, page = posekit.load(HERON), bench.page
    bench.tab("Looks").get_by_role("button", name="Two looks side by side").click()
    dialog = page.get_by_role("dialog", name="Two looks side by side")
    dialog.get_by_label("Left").select_option(label="alert")
    dialog.get_by_label("Right").select_option(label="strike")
    rows = []
    for name in ("alert", "strike"):
        state = posekit.pose(heron, posekit.Snapshot.read(HERON / "looks" / f"{name}.csv"))
        rows.append(list(state.values.values()))
    found = beside(heron, *rows, mechanism_of(heron))
    expect(dialog.get_by_role("status")).to_have_text(found.sentence)
    told = dialog.get_by_role("region", name="Joints that stand elsewhere").get_by_role("row")
    expect(told).to_have_count(1 + len(found.joints))
    first = found.joints[0]
    expect(told.nth(1)).to_contain_text(f"{first.right - first.left:+.1f}°")
    eyes = dialog.get_by_role("img", name="The figure in 3D", exact=False)
    expect(eyes).to_have_count(2)
    # The figure is in sight in both, and whoever turns one by key turns the other: the rulers of both stand alike.
    expect(dialog.locator(".label--ruler:not(.label--away)").first).to_be_visible()
    before = page.evaluate(RULERS)
    assert before[0] == before[1]
    eyes.first.press("ArrowRight")
    for _ in bench.looks():
        now = page.evaluate(RULERS)
        if now[0] != before[0] and now[0] == now[1]:
            break
    else:
        raise AssertionError("the two pictures are not seen from one place")
    told.nth(1).get_by_role("button").click()
    expect(told.nth(1).get_by_role("button")).to_have_attribute("aria-pressed", "true")
    assert serious(bench) == []
    dialog.get_by_label("Right").select_option(label="alert")
    expect(dialog.get_by_role("status")).to_have_text("Nothing differs.")
