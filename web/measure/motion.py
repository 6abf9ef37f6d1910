"""An hour of a 44 Hz show on 24 drives in the page: `python web/measure/motion.py`. Prints a table.

The show is a list of cues of which none holds, so that every drive gets another value at nearly every frame. It is
followed by the page's own worker in Chromium; the same requests are timed natively beside it.
"""

from __future__ import annotations

import json
import os
import random
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from playwright.sync_api import sync_playwright
from rich.console import Console
from rich.table import Table

sys.path.insert(0, str(Path(__file__).resolve().parent))
from common import CHROMIUM, FLAGS, HERE, MODELS, PAGE, served

import posekit
from posekit.bridge import Dispatcher

DOOR = (HERE / "door.js").read_text()
TIMED = """async ([method, params]) => {
    const begin = performance.now();
    await ask(method, params);
    return performance.now() - begin;
}"""
SHOW = "shows/hour.toml"
CUES, FADE = 900, 4.0  # an hour
CHUNKS = 40

Ask = Callable[[str, dict[str, Any]], float]  # seconds from the request to its answer


def main() -> None:
    folder = MODELS / "longwood"
    prop = posekit.load(folder)
    files = {**prop.files, "prop.toml": prop.text.encode(), SHOW: hour(prop)}
    limits = {drive.name: [90.0, 500.0] for drive in prop.drives}
    native = times(asker_of_this_python(files), limits)
    with served() as address, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        page = browser.new_page()
        page.set_default_timeout(300_000)
        page.goto(f"{address}icon.svg")
        (worker,) = (PAGE / "assets").glob("engine.worker-*.js")
        page.evaluate(DOOR, f"/assets/{worker.name}")
        page.evaluate(
            """(files) => ask("open", {name: "measured", files: Object.fromEntries(
                Object.entries(files).map(([path, bytes]) => [path, new Uint8Array(bytes)]))})""",
            {path: list(content) for path, content in files.items()},
        )

        def ask(method: str, params: dict[str, Any]) -> float:
            return page.evaluate(TIMED, [method, params]) / 1e3

        in_page = times(ask, limits)
        browser.close()
    show(f"{len(prop.drives)} drives", native, in_page)


def hour(prop: posekit.Prop) -> bytes:
    """Cues for an hour, each fading all drives to values by chance."""
    chance = random.Random(5)
    cues = [
        f'[[cues]]\nname = "{number}"\nfade = {FADE}\nvalues = {{'
        + ", ".join(f"{drive.name} = {chance.randint(0, drive.full_scale)}" for drive in prop.drives)
        + "}\n"
        for number in range(CUES)
    ]
    return "\n".join(["format = 1", "rate = 44", *cues]).encode()


def asker_of_this_python(files: dict[str, bytes]) -> Ask:
    door = Dispatcher()
    named = {path: {"$block": index} for index, path in enumerate(files)}
    door.handle("open", json.dumps({"files": named, "name": "measured"}), list(files.values()))

    def ask(method: str, params: dict[str, Any]) -> float:
        begin = time.perf_counter()
        state, text, _ = door.handle(method, json.dumps(params))
        assert state == "done", text
        return time.perf_counter() - begin

    return ask


def times(ask: Ask, limits: dict[str, list[float]]) -> dict[str, float]:
    """Seconds for what the page does with a show."""
    found = {"read cues, render and follow the hour": ask("open_show", {"name": SHOW})}
    ask("limit", {"limits": limits})
    found["follow the hour under other limits"] = ask("show", {})
    ask("edit", {"path": f"drives.{next(iter(limits))}.speed", "value": 60.0})
    found["follow it with one limit changed"] = ask("show", {})
    params = {"step": 1 / 60, "count": 60, "commanded": False}
    chunks = [ask("frames", {"begin": 80.0 * chunk, **params}) for chunk in range(CHUNKS)]
    found["poses for a second of play"] = sorted(chunks)[CHUNKS // 2]
    found["curves of 30 s"] = ask("curves", {"begin": 1000.0, "end": 1030.0, "count": 721})
    return found


def show(what: str, native: dict[str, float], in_page: dict[str, float]) -> None:
    load = f"load of the machine {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores"
    table = Table(title=f"An hour at 44 Hz, {what}; {load}")
    for column in ("what", "natively", "in the page", "ratio"):
        table.add_column(column, justify="left" if column == "what" else "right")
    for name, seconds in in_page.items():
        table.add_row(name, f"{native[name]:.3f} s", f"{seconds:.3f} s", f"{seconds / native[name]:.1f}")
    Console(width=110).print(table)


if __name__ == "__main__":
    main()
