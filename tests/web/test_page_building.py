"""A figure of four drives, from an empty page and STL files to one that moves, is checked and shared.

By pointer, with undo and redo through all of it, and by keyboard alone; the pictures of the guide are taken on the way.
`POSEKIT_GUIDE=write` writes them anew; otherwise those that are there have to show what the page shows now.
"""

from __future__ import annotations

import base64
import os
import zipfile
from collections.abc import Callable
from functools import partial
from pathlib import Path

import numpy as np
import pytest
import trimesh
from playwright.sync_api import Locator, expect

import posekit
from posekit.pipeline import pose_at
from tests.web.conftest import PICTURE_FROM_PROP, Bench
from tests.web.test_page_access import PHONE, serious

pytestmark = [pytest.mark.page, pytest.mark.python("native"), pytest.mark.own_page, pytest.mark.timeout(900)]

GUIDE = Path(__file__).parents[2] / "web" / "src" / "dialogs" / "first-prop"
WRITES = os.environ.get("POSEKIT_GUIDE") == "write"
PICTURE_BYTES = 40_000
GRID = 16  # how finely pictures are compared: fonts and drawing differ from machine to machine, what is where does not
UNLIKE = 24.0  # of 255, in the mean over the grid


def box(size: tuple[float, ...], at: tuple[float, ...]) -> bytes:
    made = trimesh.creation.box(size)
    made.apply_translation(at)
    return made.export(file_type="stl")


def shaft(radius: float, length: float, at: tuple[float, ...], along: str = "y") -> bytes:
    made = trimesh.creation.cylinder(radius, length, sections=48)
    if along == "y":
        made.apply_transform(trimesh.transformations.rotation_matrix(np.pi / 2, (1, 0, 0)))
    made.apply_translation(at)
    return made.export(file_type="stl")


# A crane as it stands in CAD [mm]: a drum turns on the base, three shafts carry a bar each.
FIGURE = {
    "base.stl": box((160, 120, 20), (0, 0, 10)),
    "drum.stl": shaft(30, 30, (0, 0, 36), "z"),
    "shoulder.stl": shaft(9, 90, (0, 0, 64)),
    "upper.stl": box((16, 16, 76), (0, 0, 112)),
    "elbow.stl": shaft(8, 70, (0, 0, 160)),
    "lower.stl": box((70, 14, 14), (44, 0, 160)),
    "wrist.stl": shaft(7, 50, (88, 0, 160)),
    "hand.stl": box((40, 30, 8), (116, 0, 160)),
}
HANGS = {
    "shoulder": "drum",
    "upper": "shoulder",
    "elbow": "upper",
    "lower": "elbow",
    "wrist": "lower",
    "hand": "wrist",
}
# Where a shaft is touched: a place of its wall that the viewer sees, in mm.
TOUCHED = {"drum": (30, 0, 36), "shoulder": (9, 40, 64), "elbow": (8, 30, 160), "wrist": (88, 20, 167)}
MOVED = {"drum": 190, "shoulder": 160, "elbow": 90, "wrist": 170}


class Walk:
    """What was done so far: the text of the prop file after each act; `looked_at` by axe before the first of a kind."""

    def __init__(self, bench: Bench, *, looked_at: bool = False) -> None:
        self.bench = bench
        self.looked_at = looked_at
        self.texts = [bench.work()["text"]]
        self.kinds: set[str] = set()

    def act(self, kind: str, do: Callable[[], object]) -> None:
        """Do something that changes the prop file, once, where all is filled in for it."""
        if self.looked_at and kind not in self.kinds:
            assert serious(self.bench) == [], f"before {kind}"
        self.kinds.add(kind)
        before = self.texts[-1]
        do()
        self._changed(before)
        self.bench.quiet()
        self.texts.append(self.bench.work()["text"])

    def _changed(self, before: str) -> None:
        for _ in self.bench.looks():
            if self.bench.work()["text"] != before:
                return
        raise AssertionError("nothing has changed")

    def back_and_forth(self, values: int) -> None:
        """Undo all of it, step by step, and do it again; `values` steps at its end moved sliders only."""
        undo = self.bench.page.get_by_role("button", name="Undo")
        redo = self.bench.page.get_by_role("button", name="Redo")
        steps = [self.texts[-1]] * values + self.texts[::-1][1:]
        for text in steps:
            undo.click()
            self.bench.becomes("() => posekit.work().text", text)
            self.bench.quiet()
        expect(undo).to_be_disabled()
        for text in [*self.texts[1:], *[self.texts[-1]] * values]:
            redo.click()
            self.bench.becomes("() => posekit.work().text", text)
        expect(redo).to_be_disabled()


def prop_now(bench: Bench) -> posekit.Prop:
    text = bench.work()["text"]
    meshes = {f"meshes/{name}": content for name, content in FIGURE.items()}
    return posekit.read({"prop.toml": text.encode(), **meshes})


def seen(bench: Bench, world_mm: tuple[float, ...]) -> tuple[float, float]:
    """Where a point of the world is seen, in px."""
    at = PICTURE_FROM_PROP @ np.array(world_mm, float) / 1000
    x, y = bench.page.evaluate("point => posekit.seen(point)", at.tolist())
    return x, y


def row(panel: Locator, name: str) -> Locator:
    return panel.locator("[role=treeitem]").filter(has=panel.page.get_by_text(name, exact=True))


SHRINK = """async png => {
    const bytes = Uint8Array.from(atob(png), letter => letter.charCodeAt(0));
    const drawn = await createImageBitmap(new Blob([bytes]));
    const sheet = new OffscreenCanvas(640, 400);
    const pen = sheet.getContext("2d");
    pen.imageSmoothingQuality = "high";
    pen.drawImage(drawn, 0, 0, 640, 400);
    const small = await sheet.convertToBlob({type: "image/webp", quality: 0.72});
    const data = new Uint8Array(await small.arrayBuffer());
    return btoa(Array.from(data, each => String.fromCharCode(each)).join(""));
}"""
COARSE = """async ([picture, grid]) => {
    const bytes = Uint8Array.from(atob(picture), letter => letter.charCodeAt(0));
    const drawn = await createImageBitmap(new Blob([bytes]));
    const sheet = new OffscreenCanvas(grid, grid);
    const pen = sheet.getContext("2d", {willReadFrequently: true});
    pen.imageSmoothingQuality = "high";
    pen.drawImage(drawn, 0, 0, grid, grid);
    return [...pen.getImageData(0, 0, grid, grid).data];
}"""


def picture(bench: Bench, name: str) -> None:
    """Take a picture for the guide, or see that the one it has shows what is here."""
    png = base64.b64encode(bench.picture()).decode()  # one too early is told by what it shows
    small = bench.page.evaluate(SHRINK, png)
    file = GUIDE / f"{name}.webp"
    if WRITES:
        file.write_bytes(base64.b64decode(small))
    kept = base64.b64encode(file.read_bytes()).decode()
    assert file.stat().st_size < PICTURE_BYTES
    now, then = (np.array(bench.page.evaluate(COARSE, [each, GRID]), float) for each in (small, kept))
    assert np.abs(now - then).mean() < UNLIKE, (
        f"{file.name} shows another page: POSEKIT_GUIDE=write takes it anew"
    )


def begun(bench: Bench, choose: Callable[[Locator], object]) -> None:
    """The dialog of a new prop, with the figure brought and its name typed; not accepted yet."""
    dialog = bench.page.get_by_role("dialog", name="New prop")
    choose(dialog)
    dialog.get_by_label("The part that stands").wait_for()
    dialog.get_by_label("The part that stands").select_option("base")
    dialog.get_by_text("8 parts").wait_for()


@pytest.mark.parametrize("setting", [{"drawn": "asked"}], indirect=True)
def test_a_figure_of_four_drives_is_built_by_pointer_and_every_step_undone_and_done_again(
    bench: Bench,
) -> None:
    page = bench.page
    page.emulate_media(color_scheme="light")
    walk = Walk(bench, looked_at=True)

    # New prop.
    page.get_by_role("button", name="New", exact=True).click()
    files = [{"name": name, "mimeType": "model/stl", "buffer": content} for name, content in FIGURE.items()]

    def choose(dialog: Locator) -> None:
        with page.expect_file_chooser() as chooser:
            dialog.get_by_role("button", name="Choose files").click()
        chooser.value.set_files(files)

    begun(bench, choose)
    dialog = page.get_by_role("dialog", name="New prop")
    dialog.get_by_label("Name of the prop").fill("crane")
    dialog.get_by_text("216 × 120 × 168 mm", exact=True).wait_for()
    picture(bench, "begin")
    walk.act("Make this prop", dialog.get_by_role("button", name="Make this prop").click)
    expect(dialog).to_be_hidden()

    # Parts.
    panel = bench.tab("Parts")
    for part, parent in HANGS.items():
        row(panel, part).click()
        panel.get_by_role("button", name="Hang elsewhere").click()
        panel.get_by_label(f"{part} hangs on").select_option(parent)
        walk.act("Hang it there", panel.get_by_role("button", name="Hang it there").click)
    row(panel, "lower").click()
    assert serious(bench) == []
    picture(bench, "hang")

    # Joints.
    panel = bench.tab("Joints")
    for part, touched in TOUCHED.items():
        panel.get_by_label("Part and its joint").select_option(part)
        bench.quiet()
        page.mouse.click(*seen(bench, touched))
        panel.get_by_role("button", name="Put the joint there").wait_for()
        if part == "elbow":
            picture(bench, "joint")
        walk.act("Put the joint there", panel.get_by_role("button", name="Put the joint there").click)
    assert {joint.name: joint.type for joint in prop_now(bench).joints} == dict.fromkeys(TOUCHED, "revolute")
    panel.get_by_role("button", name="Turn by hand").click()
    for position, stop in (("-60", "Low stop here"), ("60", "High stop here")):
        panel.get_by_role("spinbutton", name="position of wrist, °").fill(position)
        panel.get_by_role("spinbutton", name="position of wrist, °").press("Enter")
        bench.quiet()
        walk.act(stop, panel.get_by_role("button", name=stop).click)
    assert next(each for each in prop_now(bench).joints if each.name == "wrist").stops == (-60.0, 60.0)

    # Drives.
    panel = bench.tab("Drives")
    for part in TOUCHED:
        panel.get_by_role("button", name="Add a drive").click()
        adding = page.get_by_role("dialog", name="Add a drive")
        adding.get_by_label("Joint it moves").select_option(part)
        walk.act("Add the drive", adding.get_by_role("button", name="Add the drive").click)
        expect(adding).to_be_hidden()
    assert serious(bench) == []
    picture(bench, "drive")
    prop = prop_now(bench)
    assert [drive.joint for drive in prop.drives] == list(TOUCHED)
    assert [drive.address for drive in prop.drives] == [1, 2, 3, 4]

    # It moves.
    bench.tab("Channels")
    for drive, value in MOVED.items():
        page.get_by_label(drive, exact=True).fill(str(value))
    bench.stands_as(pose_at(prop, [MOVED[drive.name] for drive in prop.drives]))
    assert serious(bench) == []
    picture(bench, "move")
    walk.back_and_forth(values=len(MOVED))
    bench.stands_as(pose_at(prop, [MOVED[drive.name] for drive in prop.drives]))

    # It swings, is checked, kept through a reload in between, and shared.
    panel = bench.tab("Bench")
    panel.get_by_label("Drive to swing").select_option("elbow")
    panel.get_by_role("button", name="Swing", exact=True).click()
    panel.get_by_role("slider", name="Speed").wait_for()
    assert serious(bench) == []
    picture(bench, "bench")
    panel.get_by_role("button", name="Stop").click()
    page.get_by_text("Saved in this browser").wait_for()
    page.reload()
    bench.posed()
    bench.stands_as(pose_at(prop, [MOVED[drive.name] for drive in prop.drives]))
    panel = bench.tab("Clearance")
    panel.get_by_role("button", name="Check every pair").click()
    panel.get_by_text("Done:").wait_for()
    assert serious(bench) == []
    picture(bench, "check")
    bench.served_for("anyone")
    page.get_by_role("button", name="Share").click()
    page.get_by_role("dialog", name="Share").get_by_text("characters").wait_for()
    assert serious(bench) == []
    picture(bench, "share")


# How many presses of Tab it should take to come to an element; below 0 back with Shift.
TABS_TO = """each => {
    const within = document.querySelector("dialog:modal") ?? document;
    const all = [...within.querySelectorAll("a[href], button, input, select, textarea, summary, [tabindex]")];
    const seen = one => one.checkVisibility({visibilityProperty: true});
    const stops = all.filter(one => one.tabIndex >= 0 && !one.disabled && seen(one));
    return stops.indexOf(each) - stops.indexOf(document.activeElement);
}"""
TABS_MOST = 150  # more than any page or dialog has


def tabbed(bench: Bench, locator: Locator) -> None:
    """Come to an element by pressing Tab, as who has no mouse does; which way is shorter is only a guess."""
    locator.wait_for()
    for _ in range(TABS_MOST):
        if locator.evaluate("each => document.activeElement === each"):
            return
        by = locator.evaluate(TABS_TO)
        for _ in range(abs(by) or 1):
            bench.page.keyboard.press("Tab" if by >= 0 else "Shift+Tab")
        if abs(by) > 1 and not locator.evaluate("each => document.activeElement === each"):
            bench.page.keyboard.press("Tab")  # the guess was wrong, and must not be made for ever
    raise AssertionError(f"Tab does not come to {locator}")


def keyed(bench: Bench, locator: Locator, *keys: str) -> None:
    """Come to something by Tab and press keys there."""
    tabbed(bench, locator)
    for key in keys or ("Enter",):
        bench.page.keyboard.press(key)


def written(bench: Bench, locator: Locator, text: str) -> None:
    keyed(bench, locator, "Control+a")
    bench.page.keyboard.type(text)
    bench.page.keyboard.press("Enter")


def picked(bench: Bench, locator: Locator, name: str) -> None:
    """Choose of a list by its first letters, as one types them."""
    keyed(bench, locator, "Home")
    bench.page.keyboard.type(name)
    expect(locator).to_have_value(name)


def tab_by_keys(bench: Bench, name: str) -> Locator:
    keyed(bench, bench.page.locator("[role=tab][aria-selected=true]"), "Home")
    while bench.page.get_by_role("tab", name=name).get_attribute("aria-selected") != "true":
        bench.page.keyboard.press("ArrowRight")  # ends: they go round
    return bench.page.get_by_role("tabpanel", name=name)


@pytest.mark.python("pyodide")  # files are brought, parts hung, joints and drives made in it here alone
# On a phone, too, where it is asked for: the drawer apart the same elements have the focus in the same order.
@pytest.mark.parametrize(
    "setting",
    [pytest.param({}, id="desk"), pytest.param(PHONE, marks=pytest.mark.long, id="phone")],
    indirect=True,
)
def test_the_same_figure_is_built_by_keyboard_alone(bench: Bench) -> None:
    page = bench.page
    walk = Walk(bench)
    if page.viewport_size["width"] < 600:
        keyed(bench, page.get_by_role("button", name="Controls"))
    # The box in which files are chosen is the browser's own, and no key of a test comes to it: they are dropped.
    page.evaluate(
        """files => {
            const carried = new DataTransfer();
            const bytes = text => Uint8Array.from(atob(text), letter => letter.charCodeAt(0));
            for (const [name, text] of files) carried.items.add(new File([bytes(text)], name));
            const how = {dataTransfer: carried, bubbles: true, cancelable: true};
            document.body.dispatchEvent(new DragEvent("drop", how));
        }""",
        [[name, base64.b64encode(content).decode()] for name, content in FIGURE.items()],
    )
    dialog = page.get_by_role("dialog", name="New prop")
    picked(bench, dialog.get_by_label("The part that stands"), "base")
    bench.quiet()
    walk.act("Make this prop", partial(keyed, bench, dialog.get_by_role("button", name="Make this prop")))
    panel = tab_by_keys(bench, "Parts")
    for part, parent in HANGS.items():
        keyed(bench, panel.locator("[role=treeitem][tabindex='0']"), "Home")
        while row(panel, part).get_attribute("aria-selected") != "true":
            page.keyboard.press("ArrowDown")  # ends: the tree has all parts
        keyed(bench, panel.get_by_role("button", name="Hang elsewhere"))
        picked(bench, panel.get_by_label(f"{part} hangs on"), parent)
        walk.act("Hang it there", partial(keyed, bench, panel.get_by_role("button", name="Hang it there")))
    panel = tab_by_keys(bench, "Joints")
    for part, touched in TOUCHED.items():
        picked_joint = panel.get_by_label("Part and its joint")
        keyed(bench, picked_joint, "Home")
        while picked_joint.input_value() != part:
            page.keyboard.press("ArrowDown")  # ends: the list has all joints
        picked(bench, panel.get_by_label("part of the point"), part)
        for axis, mm in zip("xyz", touched, strict=True):
            written(bench, panel.get_by_label(f"point {axis}, mm"), str(mm))
        if panel.get_by_role("button", name="Put the joint there").count() == 0:
            keyed(bench, panel.get_by_role("button", name="Find the axis"))
        walk.act(
            "Put the joint there",
            partial(keyed, bench, panel.get_by_role("button", name="Put the joint there")),
        )
    panel = tab_by_keys(bench, "Drives")
    for part in TOUCHED:
        keyed(bench, panel.get_by_role("button", name="Add a drive"))
        adding = page.get_by_role("dialog", name="Add a drive")
        picked(bench, adding.get_by_label("Joint it moves"), part)
        walk.act("Add the drive", partial(keyed, bench, adding.get_by_role("button", name="Add the drive")))
        expect(adding).to_be_hidden()
    assert serious(bench) == []
    prop = prop_now(bench)
    assert [drive.joint for drive in prop.drives] == list(TOUCHED)
    tab_by_keys(bench, "Channels")
    for drive, value in MOVED.items():
        written(bench, page.get_by_label(f"{drive}, value"), str(value))
    stands = pose_at(prop, [MOVED[drive.name] for drive in prop.drives])
    bench.stands_as(stands)

    # It swings, is checked, kept through a reload in between, and shared.
    panel = tab_by_keys(bench, "Bench")
    picked(bench, panel.get_by_label("Drive to swing"), "elbow")
    keyed(bench, panel.get_by_role("button", name="Swing", exact=True))
    speed = panel.get_by_role("slider", name="Speed")
    before = speed.input_value()
    keyed(bench, speed, "ArrowLeft", "ArrowLeft")
    panel.get_by_text("These limits are tried only").wait_for()
    assert speed.input_value() != before
    assert serious(bench) == []
    keyed(bench, panel.get_by_role("button", name="Stop"))
    page.get_by_text("Saved in this browser").wait_for(state="attached")
    text = walk.texts[-1]
    assert bench.work()["text"] == text, "a speed that is tried changes no file"
    page.reload()
    bench.posed()
    assert bench.work()["text"] == text
    bench.stands_as(stands)
    if page.viewport_size["width"] < 600:
        keyed(bench, page.get_by_role("button", name="Controls"))
    panel = tab_by_keys(bench, "Clearance")
    keyed(bench, panel.get_by_role("button", name="Check every pair"))
    panel.get_by_text("Done:").wait_for()
    assert serious(bench) == []
    bench.served_for("anyone")
    keyed(bench, page.get_by_role("button", name="Share"))
    sharing = page.get_by_role("dialog", name="Share")
    sharing.get_by_text("characters").wait_for()
    assert serious(bench) == []
    # Its meshes make the link too long for a mail, so that a file is sent.
    keyed(bench, sharing.get_by_role("button", name="Save the file instead"))
    saving = page.get_by_role("dialog", name="Save", exact=True)
    saving.wait_for()
    assert serious(bench) == []
    with page.expect_download() as sent:
        keyed(bench, saving.get_by_role("button", name="Prop folder"))
    with zipfile.ZipFile(sent.value.path()) as folder:
        arrived = {path.partition("/")[2]: folder.read(path) for path in folder.namelist()}
    assert posekit.read(arrived).text == text
    if saving.is_visible():
        page.keyboard.press("Escape")
    expect(saving).to_be_hidden()
    for text in [*[walk.texts[-1]] * len(MOVED), *walk.texts[::-1][1:]]:
        page.keyboard.press("Control+z")
        bench.becomes("() => posekit.work().text", text)
        bench.quiet()
