"""The director's one file, opened from the disk without a network: turned, played, noted on, the notes taken out."""

from __future__ import annotations

import base64
import json
import re
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner
from playwright.sync_api import Browser, Page

import posekit
from posekit.authoring.notes import take
from posekit.cli import main
from posekit.cli.director import drawing
from posekit.mechanism.joints import solve
from posekit.mechanism.kinematics import forward
from posekit.motion import follow
from posekit.prop.fingerprint import fingerprint
from posekit.prop.notes import kept_notes, read_notes, with_notes
from posekit.report.director import director_figure, shown
from posekit.stream import read_show
from tests.conftest import demo_prop
from tests.output.test_figure import frames, unpacked
from tests.web.conftest import PICTURE_FROM_PROP, SLOW_MS, Bench

pytestmark = pytest.mark.page

ROOT = Path(__file__).parents[2]
FOLDER = ROOT / "models" / "heron"
HERON = demo_prop("heron")
AXE = (ROOT / "web" / "node_modules" / "axe-core" / "axe.min.js").read_text()
DESK = {"viewport": {"width": 1280, "height": 800}}
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
HOSTILE = "</script><img src=x onerror=document.title='hit'>\u202e"
MOST = 1_500_000  # bytes of the heron with its looks and one show, so that it goes through mail and messages
PATIENCE = 60.0
# Where the middle of what hangs on a part is seen, in px from the corner of the page.
SPOT = """name => figure.spot(name)"""


@pytest.fixture(scope="module")
def heron(address: str, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The heron with all its looks and shows, as the command writes it."""
    place = tmp_path_factory.mktemp("director") / "heron.html"
    done = CliRunner().invoke(main, ["export", str(FOLDER), "--html", str(place)])
    assert done.exit_code == 0 and "7 looks and 2 shows" in done.output.replace("\n", " ")
    again = CliRunner().invoke(main, ["export", str(FOLDER), "--html", str(place)])
    assert again.exit_code == 2 and "already exists" in again.output
    return place


@contextmanager
def opened(
    browser: Browser, place: Path, setting: dict[str, Any], before: str = "", *expected: str
) -> Iterator[Page]:
    """The file in a browser without a network; nothing but the file itself may have been asked for."""
    context = browser.new_context(offline=True, **setting)
    context.set_default_timeout(SLOW_MS)
    page = context.new_page()
    problems: list[str] = []
    page.on("pageerror", lambda problem: problems.append(str(problem)))
    page.on("console", lambda message: problems.append(message.text) if message.type == "error" else None)
    page.on("request", lambda asked: problems.append(asked.url) if asked.url != place.as_uri() else None)
    if before:
        page.add_init_script(before)
    page.goto(place.as_uri())
    page.wait_for_selector("html[data-file=open]", state="attached")
    yield page
    assert [problem for problem in problems if not problem.startswith(expected)] == []
    assert page.title() != "hit" and page.locator("img").count() == 0
    context.close()


def becomes(page: Page, true: Callable[[], bool]) -> None:
    """Wait until something is so."""
    until = time.monotonic() + PATIENCE
    while not true():
        assert time.monotonic() < until
        page.wait_for_timeout(50)


def stands_at(page: Page, links: dict[str, np.ndarray], size_mm: float) -> None:
    """Wait until every part is drawn where the core puts it, to a millionth of the size of the figure."""

    def off() -> float:
        drawn = page.evaluate("names => names.map((name) => figure.node(name))", list(links))
        each = [np.array(found).reshape(4, 4).T for found in drawn]
        there = [PICTURE_FROM_PROP @ frame[:3, :3] / 1000 for frame in links.values()]
        at = [PICTURE_FROM_PROP @ frame[:3, 3] / 1000 for frame in links.values()]
        turns = max(
            np.abs(found[:3, :3] - turn).max() * 1000 for found, turn in zip(each, there, strict=True)
        )
        places = max(np.abs(found[:3, 3] - place).max() * 1000 for found, place in zip(each, at, strict=True))
        return float(max(turns, places / size_mm))

    becomes(page, lambda: off() < 1e-6)


def drag(page: Page, by_touch: bool) -> None:
    """Across the picture, with the mouse or a finger."""
    box = page.locator("canvas").bounding_box()
    assert box
    x, y = box["x"] + box["width"] * 0.3, box["y"] + box["height"] * 0.7
    if not by_touch:
        page.mouse.move(x, y)
        page.mouse.down()
        page.mouse.move(x + 90, y + 10, steps=4)
        page.mouse.up()
        return
    finger = page.context.new_cdp_session(page)
    for kind, step in (("touchStart", 0), ("touchMove", 30), ("touchMove", 60), ("touchMove", 90)):
        points = [{"x": x + step, "y": y}]
        finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
    finger.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


@pytest.mark.parametrize("size", ["desk", "phone"])
def test_a_director_looks_turns_plays_notes_and_takes_the_notes_out(
    heron: Path, browsers: Callable[[bool], Browser], size: str, tmp_path: Path
) -> None:
    assert heron.stat().st_size < MOST
    with opened(browsers(False), heron, PHONE if size == "phone" else DESK) as page:
        size_mm = page.evaluate("() => figure.size_mm")
        for look in ("strike", "wings_open"):
            page.get_by_role("button", name=look).click()
            snapshot = posekit.Snapshot.read(FOLDER / "looks" / f"{look}.csv")
            stands_at(page, posekit.pose(HERON, snapshot).links, size_mm)

        # Turned by mouse or finger, come nearer by key; the size bar follows.
        eye = "() => figure.scene.stage.camera.position.toArray()"
        before = page.evaluate(eye)
        drag(page, by_touch=size == "phone")
        becomes(page, lambda: np.linalg.norm(np.subtract(page.evaluate(eye), before)) > 0.05)
        bar = page.locator(".scale")
        wide = page.locator(".scale__bar").bounding_box()["width"]
        page.locator("canvas").focus()
        page.keyboard.press("+")
        becomes(page, lambda: page.locator(".scale__bar").bounding_box()["width"] != wide)
        assert re.fullmatch(r"Size bar:\s+\d+ mm", bar.inner_text().strip())

        # The show plays, and at a frame of it stands as the servos have the figure then.
        page.get_by_role("button", name="fishing").last.click()
        page.get_by_role("button", name="Play", exact=True).click()
        shown_at = page.get_by_role("slider", name="Time in the show")
        becomes(page, lambda: float(shown_at.input_value()) > 0.2)
        page.get_by_role("button", name="Pause").click()
        shown_at.fill("9.6")
        kept = read_show(HERON, HERON.files["shows/fishing.toml"], "shows/fishing.toml")
        real = follow(HERON, kept.times, kept.values).position([9.6])
        (places,) = forward(HERON, solve(HERON, real).position)
        stands_at(page, {link.name: places[row] for row, link in enumerate(HERON.links)}, size_mm)

        # A part is tapped, at a point of its own, and a change asked for at this time of the show.
        page.get_by_role("button", name="Show all of the figure").click()
        page.wait_for_timeout(50)
        at = page.evaluate(SPOT, "head")
        (page.touchscreen.tap if size == "phone" else page.mouse.click)(*at)
        page.get_by_text("part head").first.wait_for()
        page.get_by_role("button", name="Ask for a change").click()
        page.get_by_label("What should change?").fill(HOSTILE + "a" * 9000)
        page.get_by_label("Your name").fill("A director")
        page.get_by_role("button", name="Add the change").click()
        page.get_by_role("button", name="alert").click()
        page.get_by_role("button", name="Approve", exact=True).click()
        page.get_by_role("button", name="Approved", exact=True).wait_for()

        # Kept by the browser when the file is opened again, then taken out, as a file and as text.
        page.reload()
        page.get_by_text("This browser keeps them").wait_for()
        page.get_by_text("Not with the builder yet").wait_for()
        with page.expect_download() as saved:
            page.get_by_role("button", name="Download notes").click()
        page.get_by_text("Downloaded or copied").wait_for()
        change, approved = read_notes(saved.value.path().read_bytes(), "notes")
        assert saved.value.suggested_filename == "Marsh heron-notes.json"
        assert (change.kind, change.show, change.time_s, change.part) == ("change", "fishing", 9.6, "head")
        assert change.text == HOSTILE + "a" * 9000 and change.by == "A director"
        assert change.fingerprint == fingerprint(HERON)
        assert (approved.kind, approved.look, approved.show) == ("approved", "alert", None)
        # The point is on the skin: in the head's own frame, within what hangs on it.
        assert change.point_mm is not None and np.linalg.norm(change.point_mm) < 250
        page.evaluate(
            """() => {
                const shut = () => Promise.reject(new DOMException("Write permission denied."));
                Object.defineProperty(navigator, "clipboard", {value: {writeText: shut}});
                document.execCommand = () => (window.copied = getSelection().toString()).length > 0;
            }"""
        )
        page.get_by_role("button", name="Copy as text").click()
        page.get_by_text("Copied. Paste it into a message to the builder.").wait_for()
        message = page.get_by_label("Notes as text").input_value()
        assert page.evaluate("() => window.copied") == message, "by the older way"
        page.evaluate("() => void (document.execCommand = () => false)")
        page.get_by_role("button", name="Copy as text").click()
        page.get_by_text("Copying is blocked here. The text is selected: copy it by hand.").wait_for()
        assert page.evaluate("() => document.activeElement.selectionEnd") == len(message)
        assert read_notes(message.encode(), "message") == (change, approved)
        page.evaluate(AXE)
        found = page.evaluate("() => axe.run()")["violations"]
        assert [each["id"] for each in found if each["impact"] in ("serious", "critical")] == []
        if size == "phone":  # nothing stands out at the side
            assert page.evaluate("() => document.documentElement.scrollWidth") <= 390


def test_a_finger_scrolls_the_file_from_the_slider_of_its_show_and_a_tap_goes_there(
    heron: Path, browsers: Callable[[bool], Browser]
) -> None:
    with opened(browsers(False), heron, PHONE) as page:
        page.get_by_role("button", name="fishing").last.click()
        slider = page.get_by_role("slider", name="Time in the show")
        slider.fill("9.6")
        seen = slider.bounding_box()
        assert seen
        x, y = seen["x"] + seen["width"] / 4, seen["y"] + seen["height"] / 2
        Bench(page, heron.as_uri()).finger((x, y), (x, y - 150))
        becomes(page, lambda: page.evaluate("() => scrollY") > 50)
        assert slider.input_value() == "9.6" and "0:09.60" in page.locator(".play__time").inner_text()
        seen = slider.bounding_box()
        assert seen
        page.touchscreen.tap(x, seen["y"] + seen["height"] / 2)
        becomes(page, lambda: slider.input_value() != "9.6")
        most = float(slider.get_attribute("max") or 0)
        assert float(slider.input_value()) == pytest.approx(most / 4, abs=1)


@pytest.fixture
def noted(address: str, tmp_path: Path) -> Iterator[tuple[Path, dict[str, Any]]]:
    """A file of two looks with an approval of this very prop, a change asked for and one done and an approval of an
    earlier prop, in this order; and the third of them.
    """
    mine = {"id": "c" * 32, "made": "2026-11-26T10:00:00Z", "kind": "change", "look": "alert", "part": "head"}
    notes = [
        {**mine, "id": "a" * 32, "text": HOSTILE, "done": "2026-11-27T10:00:00Z", "answer": "by 3 degrees"},
        {"id": "b" * 32, "made": mine["made"], "kind": "approved", "look": "strike"},
        {**mine, "text": "lower"},
        {"id": "d" * 32, "made": mine["made"], "kind": "approved", "look": "preen", "fingerprint": "0" * 64},
    ]
    given = {
        "posekit_notes": 1,
        "prop": "x",
        "fingerprint": fingerprint(HERON),
        "file_made": "2026-11-26",
        "notes": notes,
    }
    prop = with_notes(HERON, read_notes(json.dumps(given).encode()))
    place = tmp_path / "noted.html"
    what = shown(prop, ["alert", "strike", "preen"])
    place.write_bytes(director_figure(prop, what, "2026-11-28").html(drawing()))
    yield place, notes[2]


def test_what_became_of_a_note_is_seen_in_the_next_file(
    noted: tuple[Path, dict[str, Any]], browsers: Callable[[bool], Browser]
) -> None:
    """And a note that came along is not kept a second time as one of those not sent."""
    place, change = noted
    stored = json.dumps({"notes": [{**change, "by": ""}], "out": True, "by": ""})
    before = f"localStorage.setItem('posekit-notes-{fingerprint(HERON)}', {json.dumps(stored)})"
    with opened(browsers(False), place, DESK, before) as page:
        listed = page.get_by_role("region", name="Earlier notes")
        told = listed.inner_text()
        assert "1 open, 1 approved, 1 approved in an earlier file, 1 done" in told
        assert "done on 2026-11-27" in told and "by 3 degrees" in told and HOSTILE in told
        assert page.get_by_role("region", name="Your notes").count() == 0
        assert page.locator(".label--pin").all_inner_texts() == ["3"]  # as the builder counts them
        # An approval stands for the prop it was given to, and for no other.
        chip = page.get_by_role("button", name="preen approved in an earlier file")
        chip.click()
        form = page.get_by_role("region", name="Your feedback")
        assert form.get_by_role("button", name="Approve", exact=True).get_attribute("aria-pressed") == "false"
        page.get_by_role("button", name="strike approved", exact=True).click()
        form.get_by_role("button", name="Approved").click()
        page.get_by_text("Approved before, and the builder has it.").wait_for()
        listed.get_by_role("button", name="look alert").first.click()
        assert page.evaluate("() => figure.scene.chosen()") == "head"
        # What was looked at is no part of what is written next; what that is about stays as it was begun.
        form.get_by_role("button", name="Ask for a change").click()
        assert form.get_by_label("Part", exact=True).input_value() == ""
        form.get_by_label("What should change?").fill("higher")
        page.get_by_role("button", name="strike approved", exact=True).click()
        assert form.get_by_label("About").input_value() == "look alert"
        page.reload()  # and what is being written outlives the closing of the file
        assert form.get_by_label("What should change?").input_value() == "higher"
        form.get_by_label("Part", exact=True).select_option(label="jaw")
        form.get_by_role("button", name="Add the change").click()
        own = page.get_by_role("region", name="Your notes")
        assert "look alert, part jaw" in own.inner_text()
        assert page.locator(".label--pin").all_inner_texts() == ["3", "5"]
        # The focus goes back to what opened the form, and from a note that is removed to the form.
        becomes(page, lambda: page.evaluate("() => document.activeElement.innerText") == "Ask for a change")
        own.get_by_role("button", name="Remove note 5").click()
        becomes(page, lambda: page.evaluate("() => document.activeElement.ariaLabel") == "Your feedback")


def test_two_tabs_of_one_file_lose_no_note_of_each_other(
    noted: tuple[Path, dict[str, Any]], browsers: Callable[[bool], Browser]
) -> None:
    with opened(browsers(False), noted[0], DESK) as page:
        other = page.context.new_page()
        other.goto(noted[0].as_uri())
        for tab, words in ((page, "one"), (other, "two"), (page, "three")):
            tab.get_by_role("button", name="Note", exact=True).click()
            tab.get_by_label("Note", exact=True).fill(words)
            tab.get_by_role("button", name="Add the note").click()
        other.get_by_role("button", name="Remove note 5").click()
        for tab in (page, other):
            tab.reload()
            shown_now = tab.get_by_role("region", name="Your notes").locator(".note__text")
            assert shown_now.all_inner_texts() == ["two", "three"]


def written(tab: Page, words: str) -> None:
    """Begin a note, and leave it unfinished."""
    tab.get_by_role("button", name="Note", exact=True).click()
    tab.get_by_label("Note", exact=True).fill(words)


def test_what_is_being_written_in_two_tabs_is_lost_in_neither(
    noted: tuple[Path, dict[str, Any]], browsers: Callable[[bool], Browser]
) -> None:
    with opened(browsers(False), noted[0], DESK) as page:
        one, other = (page.context.new_page() for _ in range(2))
        for tab in (one, other):
            tab.goto(noted[0].as_uri())
        written(one, "the neck is too stiff")
        written(other, HOSTILE + "and the beak too loud")
        one.reload()
        assert one.get_by_label("Note", exact=True).input_value() == "the neck is too stiff"
        one.get_by_role("button", name="Add the note").click()
        # The draft of the other tab is told of, and goes over to this one when it is fetched.
        one.get_by_text("Being written in another tab, or left there").wait_for()
        one.get_by_role("button", name="Go on with it here").click()
        assert one.get_by_label("Note", exact=True).input_value().endswith("and the beak too loud")
        other.get_by_role("button", name="Add the note").wait_for(state="detached")
        # Tabs that are closed leave theirs behind, and each is gone on with once.
        written(other, "a third")
        for tab in (one, other):
            tab.close(run_before_unload=True)
        left = []
        for _ in range(2):
            anew = page.context.new_page()
            anew.goto(noted[0].as_uri())
            left.append(anew.get_by_label("Note", exact=True).input_value())
            anew.get_by_role("button", name="Add the note").click()
        assert sorted(left) == [HOSTILE + "and the beak too loud", "a third"]
        assert anew.get_by_text("Being written in another tab").count() == 0
        shown_now = anew.get_by_role("region", name="Your notes").locator(".note__text")
        assert shown_now.all_inner_texts() == ["the neck is too stiff", *left]


def test_a_note_is_put_in_other_words_and_the_newer_words_count(
    noted: tuple[Path, dict[str, Any]], browsers: Callable[[bool], Browser]
) -> None:
    with opened(browsers(False), noted[0], DESK) as page:
        own = page.get_by_role("region", name="Your notes")

        def taken_out(tab: Page) -> tuple[Any, ...]:
            tab.get_by_role("button", name="Copy as text").click()
            return read_notes(tab.get_by_label("Notes as text").input_value().encode())

        written(page, "lower")
        page.get_by_role("button", name="Add the note").click()
        (before,) = taken_out(page)
        own.get_by_role("button", name="Change note 5").click()
        words = page.get_by_label("Note", exact=True)
        becomes(page, lambda: page.evaluate("() => document.activeElement.tagName") == "TEXTAREA")
        assert words.input_value() == "lower"
        words.fill("lower still")

        # Another tab says it in other words first: both stay.
        other = page.context.new_page()
        other.goto(noted[0].as_uri())
        other.get_by_role("button", name="Change note 5").click()
        other.get_by_label("Note", exact=True).fill("higher")
        other.get_by_role("button", name="Keep these words").click()
        own.get_by_text("higher").wait_for()
        page.get_by_role("button", name="Keep these words").click()
        page.get_by_text("That note was changed in another tab meanwhile").wait_for()
        revised, alone = taken_out(page)
        assert (revised.id, revised.text, alone.text) == (before.id, "higher", "lower still")
        assert revised.said_at > before.said_at and revised.made == before.made

        # The builder takes the older message in after the newer one: the newer words stay, and that is told.
        taken = take(take(HERON, [revised]).prop, [before])
        assert taken.sentence == "Notes: 1 here in newer words, which stay."
        assert [note.text for note in kept_notes(taken.prop)] == ["higher"]


def test_without_a_picture_and_without_storage_notes_work_and_that_is_said(
    heron: Path, browsers: Callable[[bool], Browser]
) -> None:
    before = """
        HTMLCanvasElement.prototype.getContext = () => null;
        Object.defineProperty(globalThis, "localStorage", {get() { throw new Error("none"); }});
    """
    with opened(browsers(False), heron, PHONE, before) as page:
        assert "WebGL" in page.get_by_role("alert").inner_text()
        page.get_by_role("button", name="dusk").first.click()
        page.get_by_role("button", name="Note", exact=True).click()
        page.get_by_label("Part", exact=True).select_option(label="jaw")
        page.get_by_label("Note", exact=True).fill("x" * 10_001)
        page.get_by_role("button", name="Add the note").click()
        assert "10000 at most" in page.get_by_role("alert").last.inner_text()
        page.get_by_label("Note", exact=True).fill("softer")
        page.get_by_role("button", name="Add the note").click()
        page.get_by_text("This browser keeps nothing of a file").wait_for()
        with page.expect_download() as saved:
            page.get_by_role("button", name="Download notes").click()
        (note,) = read_notes(saved.value.path().read_bytes(), "notes")
        assert (note.kind, note.look, note.part, note.text, note.point_mm) == (
            "note",
            "dusk",
            "jaw",
            "softer",
            None,
        )


def test_the_page_makes_the_same_file_and_says_what_is_in_it(
    bench: Bench, browsers: Callable[[bool], Browser], shot: Callable[[Bench, str], None], tmp_path: Path
) -> None:
    bench.page.get_by_role("button", name="Share").click()
    section = bench.page.get_by_role("region", name="A file for the director")
    section.get_by_text("Looks and shows in it: all").click()
    for name in ("dusk", "fishing", "preen", "rest", "wings_open"):
        section.get_by_role("checkbox", name=name).uncheck()
    section.get_by_text("Looks and shows in it: 2 of 7").wait_for()
    shot(bench, "share-director")
    with bench.page.expect_download(timeout=SLOW_MS) as saved:
        section.get_by_role("button", name="Save the director's file").click()
    section.get_by_text("Marsh heron.html saved").wait_for()
    place = tmp_path / saved.value.suggested_filename
    place.write_bytes(saved.value.path().read_bytes())
    packed = re.search(rb'id="data">([^<]*)<', place.read_bytes())
    assert packed
    page, page_planes = unpacked(base64.b64decode(packed[1]))
    here, planes = unpacked(director_figure(HERON, shown(HERON, ["alert", "strike"]), page["made"]).data)
    assert (
        page["fingerprint"] == fingerprint(HERON) and page["looks"] == here["looks"] and page["shows"] == []
    )
    off = frames(page_planes, page["poses"]) - frames(planes, here["poses"])
    assert np.abs(off / [1, 1, 1, page["size_mm"]]).max() < 1e-6
    with opened(browsers(False), place, DESK) as file:
        stands_at(
            file,
            posekit.pose(HERON, posekit.Snapshot.read(FOLDER / "looks" / "alert.csv")).links,
            page["size_mm"],
        )
