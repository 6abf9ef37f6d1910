"""What a frame costs here at all: `python web/measure/floor.py`. Prints a table.

A page of 1280 x 800 that holds next to nothing: a dot that moves, or one canvas that is filled anew in every frame, by
WebGL or by the browser's own pen. The time is from the frame's begin until the graphics had done all asked for it.
"""

from __future__ import annotations

import os
import statistics
from typing import Any

from common import BROWSERS, CHROMIUM, DESK
from dragging import scripts
from playwright.sync_api import sync_playwright
from rich.console import Console
from rich.table import Table

PAGE = """<style>body { margin: 0 } canvas, i { position: absolute; inset: 0; width: 1280px; height: 800px }
i { width: 50px; height: 50px; background: teal }</style><i hidden></i><canvas></canvas>"""
FILL = """async ([kind, share]) => {
    const [dot, canvas] = [document.querySelector("i"), document.querySelector("canvas")];
    [canvas.width, canvas.height] = [1280 * share, 800 * share];
    dot.hidden = kind !== "a dot";
    const gl = kind === "WebGL" && canvas.getContext("webgl2", {antialias: false});
    const pen = kind === "pen" && canvas.getContext("2d");
    let on = true;
    let count = 0;
    const frame = () => {
        if (on) requestAnimationFrame(frame);
        count += 1;
        dot.style.transform = `translate(${count % 100}px, 0)`;
        if (gl) gl.clearColor(count % 2, 0.5, 0.2, 1);
        if (gl) gl.clear(gl.COLOR_BUFFER_BIT);
        if (pen) pen.fillStyle = count % 2 ? "teal" : "navy";
        if (pen) pen.fillRect(0, 0, canvas.width, canvas.height);
    };
    requestAnimationFrame(frame);
    const {pictures, stop} = watchPictures(gl || document.createElement("canvas").getContext("webgl2"));
    await new Promise((next) => setTimeout(next, 2000));
    on = false;
    await stop();
    return pictures;
}"""
CASES = [("a dot", 1), ("pen", 1), ("pen", 0.5), ("WebGL", 1), ("WebGL", 0.5)]


def main() -> None:
    load = f"load of the machine {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores"
    table = Table(title=f"A frame of next to nothing at 1280 x 800; {load}")
    for column in ("browser", "what", "frames/s", "median", "p95"):
        table.add_column(column, justify="left" if column in ("browser", "what") else "right")
    with sync_playwright() as playwright:
        for kind, flags in BROWSERS.items():
            browser = playwright.chromium.launch(executable_path=CHROMIUM, args=flags)
            for what, share in CASES:
                page = browser.new_page(viewport=DESK)
                page.set_content(PAGE)
                page.evaluate(f"() => {{ {scripts('pictures.js')} }}")
                pictures: list[dict[str, Any]] = page.evaluate(FILL, [what, share])
                times = [picture["done"] - picture["begun"] for picture in pictures]
                p95 = statistics.quantiles(times, n=20)[-1]
                name = what if what == "a dot" else f"{what}, {share:g} of the pixels along a side"
                table.add_row(
                    kind, name, f"{len(times) / 2:.0f}", f"{statistics.median(times):.0f} ms", f"{p95:.0f} ms"
                )
                page.close()
            browser.close()
    Console(width=110).print(table)


if __name__ == "__main__":
    main()
