"""Firefox and WebKit: a short walk through the page, and the director's one file opened from the disk, in each."""

from __future__ import annotations

import io
import zipfile
from base64 import b64encode
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

import posekit
from posekit.cli import main
from posekit.mechanism.joints import solve
from posekit.motion import follow
from posekit.pipeline import pose_at, rest
from posekit.prop.notes import read_notes
from posekit.stream import read_show
from tests.web.conftest import HERON as FOLDER
from tests.web.conftest import KEEP_PICTURES, PICTURES
from tests.web.drivers.firefox import firefox
from tests.web.drivers.hand import Hand
from tests.web.drivers.screen import screen
from tests.web.drivers.webkit import webkit

pytestmark = [pytest.mark.page, pytest.mark.other_browsers, pytest.mark.timeout(900)]

HERON = posekit.load(FOLDER)
DRIVERS = {"firefox": firefox, "webkit": webkit}
FISHING = "shows/fishing.toml"
SIZE_MM = 1000.0  # of the heron, about; what is drawn in the page is compared with it
ARMS = (Path(__file__).parents[1] / "cases" / "valid" / "two_arms.toml").read_bytes()
POSED = "() => document.documentElement.dataset.picture === 'posed'"
NODE = {"page": "posekit.node", "file": "figure.node"}


@pytest.fixture(params=DRIVERS)
def hand(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Hand]:
    """A hand at a browser that has never seen the page; at the end nothing may have gone wrong unheard."""
    with screen(tmp_path) as environment, DRIVERS[request.param](tmp_path, environment) as window:
        hand = Hand(window)
        yield hand
        sound(hand)


@pytest.fixture
def look(hand: Hand) -> Callable[[str], np.ndarray]:
    """The page as it is seen, in (height, width, 3); kept for people where POSEKIT_PICTURES is set."""

    def pixels(name: str) -> np.ndarray:
        picture = hand.still()
        if KEEP_PICTURES:
            PICTURES.mkdir(exist_ok=True)
            (PICTURES / f"{hand.window.browser}-{name}.png").write_bytes(picture)
        return np.array(Image.open(io.BytesIO(picture)).convert("RGB"), dtype=float)

    return pixels


def differ(picture: np.ndarray, other: np.ndarray) -> bool:
    """Whether more than a hundredth of two pictures does; on a busy machine WebKit shows the one before for a while."""
    return bool(np.mean(np.abs(picture - other).max(axis=2) > 30) > 0.01)


def sound(hand: Hand) -> None:
    """Nothing went wrong, neither in the console nor in words on the page."""
    assert hand.window.problems() == []
    told = "() => [...document.querySelectorAll('.toast--error')].map((each) => each.innerText)"
    assert hand.window.evaluate(told) == []


def snapshot(name: str) -> posekit.Snapshot:
    return posekit.Snapshot.read(FOLDER / "looks" / f"{name}.csv")


def links_at(time: float) -> dict[str, np.ndarray]:
    """world_from_link of every link [mm], as the servos have the fishing heron at a time [s]."""
    show = read_show(HERON, HERON.files[FISHING], FISHING)
    shafts = follow(HERON, show.times, show.values).position([time])
    (places,) = posekit.forward(HERON, solve(HERON, shafts).position)
    return {link.name: places[row] for row, link in enumerate(HERON.links)}


def drop(hand: Hand, name: str, content: bytes) -> None:
    """Drop a file on the page."""
    hand.window.evaluate(
        """(name, text) => {
            const carried = new DataTransfer();
            carried.items.add(new File([Uint8Array.from(atob(text), (sign) => sign.charCodeAt(0))], name));
            const how = {dataTransfer: carried, bubbles: true, cancelable: true};
            document.body.dispatchEvent(new DragEvent("drop", how));
        }""",
        name,
        b64encode(content).decode(),
    )


def test_a_builder_poses_looks_checks_plays_shares_and_saves(
    hand: Hand, address: str, look: Callable[[str], np.ndarray]
) -> None:
    window = hand.window
    window.goto(address)
    hand.becomes(POSED)
    hand.stands_at(NODE["page"], rest(HERON).links, SIZE_MM)
    at_rest = look("ready")

    hand.slide("head_turn", 0.9)
    values = hand.becomes("() => posekit.work().values.head_turn > 200 && posekit.work().values")
    posed = pose_at(HERON, [values[drive.name] for drive in HERON.drives])
    hand.stands_at(NODE["page"], posed.links, SIZE_MM)

    hand.click("tab", "Looks")
    hand.click("button", "wings_open")
    wings = posekit.pose(HERON, snapshot("wings_open")).links
    hand.stands_at(NODE["page"], wings, SIZE_MM)
    hand.until(lambda: differ(look("wings_open"), at_rest), "the picture does not show it")

    # Whoever opens the link sees the same pose.
    window.evaluate("() => void (document.documentElement.dataset.served = 'anyone')")
    hand.click("button", "Share")
    hand.reads("characters, the prop by its name")
    link = window.evaluate("() => document.querySelector('textarea[aria-label=Link]').value")

    sound(hand)
    window.goto("about:blank")  # else only what is behind the # would change
    window.goto(link)
    hand.becomes(POSED)
    hand.stands_at(NODE["page"], wings, SIZE_MM)

    hand.click("tab", "Motion")
    hand.choose("Show", FISHING)
    hand.click("button", "Loop")  # or a slow browser is at its end before the hand is at Pause
    hand.click("button", "Play")
    hand.becomes("() => posekit.play().time > 0.5")
    hand.click("button", "Pause")
    hand.slide("Time in the show", 0.4)
    time = hand.becomes("() => posekit.play().time > 8 && posekit.play().time")
    hand.stands_at(NODE["page"], links_at(time), SIZE_MM)
    hand.becomes("() => document.querySelectorAll('.charts__plot canvas').length === 2")
    look("show")
    sound(hand)

    hand.click("button", "Save")
    hand.click("button", "Prop folder zip with meshes and looks")
    with zipfile.ZipFile(io.BytesIO(hand.saved("heron.zip"))) as folder:
        saved = {name.removeprefix("heron/"): folder.read(name) for name in folder.namelist()}
    assert saved == {**HERON.files, "prop.toml": HERON.text.encode()}
    hand.click("button", "Close")

    drop(hand, "two_arms.toml", ARMS)
    hand.reads("Two arms")
    hand.click("tab", "Clearance")
    hand.click("button", "Check every pair")
    hand.reads("Done: 1 of 1 pairs")
    hand.reads("1 can strike")
    look("envelope")


def test_a_director_opens_the_file_from_the_disk_and_takes_a_note_out(
    hand: Hand, address: str, look: Callable[[str], np.ndarray], tmp_path: Path
) -> None:
    """`address` saw to the build of what draws the file."""
    window = hand.window
    place = tmp_path / "heron.html"
    done = CliRunner().invoke(main, ["export", str(FOLDER), "--html", str(place)])
    assert done.exit_code == 0, done.output

    # What is asked of the network is heard: this page does ask.
    asks = tmp_path / "asks.html"
    asks.write_text("<img src='http://elsewhere.invalid/a.png'><img src='https://elsewhere.invalid/b.png'>")
    window.goto(asks.as_uri())
    hand.until(lambda: len(window.asked()) == 2, "what a page asks of the network is not heard")

    window.goto(place.as_uri())
    hand.becomes("() => document.documentElement.dataset.file === 'open'")
    size_mm = hand.becomes("() => window.figure?.size_mm")
    hand.click("button", "wings_open")
    hand.stands_at(NODE["file"], posekit.pose(HERON, snapshot("wings_open")).links, size_mm)
    wings = look("file")
    hand.click("button", "strike")
    hand.stands_at(NODE["file"], posekit.pose(HERON, snapshot("strike")).links, size_mm)
    hand.until(lambda: differ(look("file-strike"), wings), "the picture does not show it")

    eye = window.evaluate("() => figure.scene.stage.camera.position.toArray()")
    hand.drag((300, 600), (390, 610))
    hand.becomes(
        "(...eye) => Math.hypot(...figure.scene.stage.camera.position.toArray().map((x, row) => x - eye[row])) > 0.05",
        *eye,
    )

    hand.click("button", "fishing", which=-1)  # the first is a look
    hand.click("button", "Play")
    time = "Number(document.querySelector('[aria-label=\"Time in the show\"]').value)"
    hand.becomes(f"() => {time} > 0.5")
    hand.click("button", "Pause")
    hand.slide("Time in the show", 0.4)
    hand.stands_at(NODE["file"], links_at(window.evaluate(f"() => {time}")), size_mm)

    hand.click("button", "Ask for a change")
    hand.click("textbox", "What should change?")
    hand.type("slower")
    hand.click("button", "Add the change")
    hand.reads("Not with the builder yet")
    look("file-note")
    hand.click("button", "Download notes")
    (note,) = read_notes(hand.saved("Marsh heron-notes.json"), "notes")
    assert (note.kind, note.text, note.show) == ("change", "slower", "fishing")
    assert len(window.asked()) == 2, "nothing more was asked of the network"
