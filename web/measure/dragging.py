"""From pointer to picture while a joint is dragged: `python web/measure/dragging.py`. Prints a table.

A part of 300,000 triangles is turned by hand, and its axis dragged by a handle, with 60 pointer events a second in
Chromium. The time is from each event to the first picture that shows it or a later one, drawn to its last pixel. The
same is measured with a light part, and with `--fine` with a picture that does not give way. What a page costs that
holds nothing but a canvas of this size is `python web/measure/floor.py`.

The pointer is a mouse, whose moves the browser itself takes in, counted from its own stamp of each; or a script sends
events to the page at any time within a frame, as a browser does that holds none back. `--beside FOLDER` measures
another build of the page in turns with this one.
"""

from __future__ import annotations

import argparse
import io
import os
import statistics
import struct
import sys
import time
import zipfile
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

import numpy as np
from playwright.sync_api import Browser, Page, sync_playwright
from rich.console import Console
from rich.table import Table

sys.path.insert(0, str(Path(__file__).resolve().parent))
from common import BROWSERS, CHROMIUM, DESK, HERE, PAGE

from posekit import serve

GOAL_MS = 33.0
STEPS = ("to ask", "to answer", "to frame", "to draw")  # medians, of what makes up the time
TEXT = """
format = 1
name = "Dragged"

[links.post]
[[links.post.shapes]]
box = [60, 60, 120]
at = [0, 0, 60]

[links.arm]
[[links.arm.shapes]]
mesh = "lower.stl"
at = [0, 60, 120]
[[links.arm.shapes]]
mesh = "upper.stl"   # one file may have 200,000 triangles
at = [0, 60, 120]

[joints.arm]
type = "revolute"
parent = "post"
child = "arm"
at = [0, 30, 120]
axis = [0, 1, 0]
"""


def scripts(*names: str) -> str:
    """Scripts of this folder, as one that runs before the page's own."""
    return "\n".join((HERE / name).read_text() for name in names)


TOOLS = {"turned by hand": "Turn by hand", "axis by a handle": "Move its axis"}
POINTERS = ("mouse", "script")


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--events", type=int, default=180, help="pointer events of a drag")
    options.add_argument("--fine", action="store_true", help="also with a picture that does not give way")
    options.add_argument("--beside", type=Path, metavar="FOLDER", help="another build of the page")
    options.add_argument("--rounds", type=int, default=1, help="drags of each kind")
    options.add_argument("--heavy", action="store_true", help="the heavy part alone")
    options.add_argument("--browser", choices=BROWSERS, help="this one alone")
    asked = options.parse_args()
    rows: dict[tuple[str, ...], list[dict[str, Any]]] = {}
    with builds(asked.beside) as addresses, sync_playwright() as playwright:
        for kind in [asked.browser] if asked.browser else BROWSERS:
            for triangles in (300_000,) if asked.heavy else (3_000, 300_000):
                browser = playwright.chromium.launch(executable_path=CHROMIUM, args=BROWSERS[kind])
                pages = {build: opened(browser, address, triangles) for build, address in addresses.items()}
                for drag in drags(asked):
                    for build, page in pages.items():
                        what, pointer, way = drag
                        page.bring_to_front()
                        row = (kind, build, f"{triangles:,} triangles, {what}", pointer, way)
                        rows.setdefault(row, []).append(dragged(page, *drag, asked.events))
                browser.close()
    show(rows)


@contextmanager
def builds(other: Path | None) -> Iterator[dict[str, str]]:
    """The address of the page as it is built here, and of another build."""
    with ExitStack() as servers:
        pages = {"here": PAGE, **({str(other): other} if other else {})}
        yield {
            name: servers.enter_context(serve.running(serve.Site((page,)))).address
            for name, page in pages.items()
        }


def opened(browser: Browser, address: str, triangles: int) -> Page:
    page = browser.new_page(viewport=DESK)
    page.set_default_timeout(300_000)
    page.add_init_script(scripts("pictures.js", "drag.js"))
    open_prop(page, address, "dragged", heavy(triangles))
    open_joint(page)
    return page


def drags(asked: argparse.Namespace) -> Iterator[tuple[str, str, str]]:
    for _ in range(asked.rounds):
        for what in TOOLS:
            for pointer in POINTERS:
                yield from ((what, pointer, way) for way in ("gives way", *(["fine"] if asked.fine else [])))


def dragged(page: Page, what: str, pointer: str, way: str, events: int) -> dict[str, Any]:
    """What drag.js tells of one drag."""
    page.get_by_role("button", name=TOOLS[what]).click()
    page.wait_for_timeout(1500)
    page.evaluate("fine => posekit.steady(fine)", way == "fine")
    drag = {"tool": TOOLS[what], "events": events, "mouse": pointer == "mouse"}
    if pointer == "script":
        return page.evaluate("drag => dragged(drag)", drag)  # type: ignore[no-any-return]  # JSON
    led = page.evaluate("drag => dragWay(drag)", drag)
    page.mouse.move(*led["start"])
    page.evaluate("drag => dragWatched(drag)", drag)
    page.mouse.down()
    begin = time.monotonic()
    for count, place in enumerate(led["way"]):
        page.mouse.move(*place)  # returns when the page has taken it in
        time.sleep(max(begin + (count + 1) / 60 - time.monotonic(), 0.0))
    found: dict[str, Any] = page.evaluate("dragEnd()")
    if what == "axis by a handle":
        page.keyboard.press("Escape")
    page.mouse.up()
    return found


def heavy(triangles: int) -> bytes:
    """The folder of a prop, zipped, with a part of so many triangles: a bent tube with ripples."""
    around = round(np.sqrt(triangles / 8))
    along = triangles // (2 * around)
    turn, way = np.meshgrid(
        np.linspace(0, 2 * np.pi, around + 1), np.linspace(0, 1, along + 1), indexing="ij"
    )
    radius = 22 + 1.5 * np.sin(40 * way) * np.cos(6 * turn)
    points = np.stack(
        [radius * np.cos(turn) + 60 * way**2, radius * np.sin(turn), 220 * way - 20], axis=-1
    ).astype(np.float32)
    a, b, c, d = points[:-1, :-1], points[1:, :-1], points[1:, 1:], points[:-1, 1:]
    faces = np.concatenate([np.stack([a, b, c], -2), np.stack([a, c, d], -2)]).reshape(-1, 3, 3)
    rows = np.zeros(len(faces), np.dtype([("normal", "<3f4"), ("corners", "<9f4"), ("end", "<u2")]))
    rows["corners"] = faces.reshape(-1, 9)
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("dragged/prop.toml", TEXT)
        for name, half in zip(("lower", "upper"), np.array_split(rows, 2), strict=True):
            stl = bytes(80) + struct.pack("<I", len(half)) + half.tobytes()
            archive.writestr(f"dragged/{name}.stl", stl)
    return packed.getvalue()


def zipped(name: str, folder: Path) -> bytes:
    """A folder, zipped."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for path in folder.rglob("*"):
            if path.is_file():
                archive.write(path, f"{name}/{path.relative_to(folder)}")
    return packed.getvalue()


def open_prop(page: Page, address: str, name: str, folder: bytes) -> None:
    """The prop of a zipped folder on the bench."""
    page.goto(address)
    page.wait_for_selector("html[data-picture=posed]", state="attached")
    drop_prop(page, name, folder)


def drop_prop(page: Page, name: str, folder: bytes) -> None:
    """The prop of a zipped folder in place of what is on the bench."""
    page.route("**/dropped.zip", lambda route: route.fulfill(body=folder))
    page.evaluate(
        """async (name) => {
            const zip = await (await fetch("dropped.zip")).blob();
            const carried = new DataTransfer();
            carried.items.add(new File([zip], `${name}.zip`));
            const how = {dataTransfer: carried, bubbles: true, cancelable: true};
            document.body.dispatchEvent(new DragEvent("drop", how));
        }""",
        name,
    )
    until(page, f"posekit.work().folder === '{name}'")
    until(page, "!posekit.busy()")


def open_joint(page: Page) -> None:
    """The joint of the arm, in its panel."""
    until(page, "posekit.node('arm') !== null")
    page.get_by_role("tab", name="Joints").click()
    page.get_by_label("Part and its joint").wait_for()
    page.wait_for_timeout(1000)


def until(page: Page, expression: str) -> None:
    """Wait for something in the page, whose own policy forbids Playwright's way to."""
    for _ in range(600):
        if page.evaluate(expression):
            return
        page.wait_for_timeout(200)
    raise SystemExit(f"never: {expression}; the page says: {page.locator('#toasts').inner_text()}")


def show(rows: dict[tuple[str, ...], list[dict[str, Any]]]) -> None:
    load = f"load of the machine {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores"
    table = Table(title=f"Pointer to picture, p95 < {GOAL_MS:g} ms; {load}")
    for column in ("browser", "build", "what", "pointer", "picture"):
        table.add_column(column)
    for column in ("median", "p95", *STEPS, "pictures/s", "goal"):
        table.add_column(column, justify="right")
    for row, found in rows.items():
        ways = [steps for each in found for steps in each["ways"]]
        times = [sum(steps) for steps in ways]
        p95 = statistics.quantiles(times, n=20)[-1]
        pictures = sum(each["pictures"] for each in found) / sum(each["seconds"] for each in found)
        table.add_row(
            *row,
            f"{statistics.median(times):.0f} ms",
            f"{p95:.0f} ms",
            *(f"{statistics.median(step):.0f}" for step in zip(*ways, strict=True)),
            f"{pictures:.0f}",
            "met" if p95 < GOAL_MS else "missed",
        )
    Console(width=160).print(table)


if __name__ == "__main__":
    main()
